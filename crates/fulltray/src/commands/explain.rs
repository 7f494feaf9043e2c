//! `fulltray explain`.

use ft_app::explain::{Page, page, pages};

use super::{out, out_json};
use crate::args::ExplainArgs;
use crate::exit::{Answer, Failure};

/// Shows the page of a code or a hazard, or lists them all.
pub fn run(args: &ExplainArgs) -> Result<Answer, Failure> {
    match &args.code {
        None => {
            let all: Vec<Page> = pages().collect();
            say(args.json, &all, &list(&all))?;
        }
        Some(code) => {
            let page = page(code).map_err(|near| unknown(code, near))?;
            say(args.json, &page, &told(&page))?;
        }
    }
    Ok(Answer::Yes)
}

fn say(json: bool, view: &impl serde::Serialize, text: &str) -> Result<(), Failure> {
    if json { out_json(view) } else { out(text) }
}

fn unknown(code: &str, near: Option<&str>) -> Failure {
    let remedy = match near {
        Some(near) => format!("did you mean `{near}`? `fulltray explain` lists all codes"),
        None => "`fulltray explain` lists all codes".to_owned(),
    };
    Failure::plain("F0077", format!("there is no code `{code}`"), remedy)
}

fn list(pages: &[Page]) -> String {
    let lines: Vec<String> = pages.iter().map(|page| format!("{:<6} {}\n", page.code, page.title)).collect();
    lines.concat()
}

fn told(page: &Page) -> String {
    let mut lines = vec![format!("{}: {}", page.code, page.title), String::new(), wrapped(page.why, 88)];
    match page.kind {
        "hazard" => lines.push("\nA built-in hazard: no order of the steps may lead to it.".into()),
        "need" => lines.push("\nA built-in need: the hands cannot do the step before it holds.".into()),
        _ => {}
    }
    for (title, example) in [("Wrong", page.wrong), ("Right", page.right)] {
        if !example.is_empty() {
            lines.push(format!("\n{title}:"));
            lines.extend(example.lines().map(|line| format!("    {line}")));
        }
    }
    lines.join("\n") + "\n"
}

/// The words on lines of at most `width` letters.
fn wrapped(text: &str, width: usize) -> String {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = lines.last_mut().expect("there is always a line");
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(word.to_owned());
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.join("\n")
}
