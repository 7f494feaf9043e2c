//! `fulltray explain`.

use ft_app::explain::{Page, page, pages};

use super::{out, out_json};
use crate::args::ExplainArgs;
use crate::exit::{Answer, Failure};

/// Shows the page of a code or a hazard, or lists them all.
pub fn run(args: &ExplainArgs) -> Result<Answer, Failure> {
    let Some(code) = &args.code else {
        let all: Vec<Page> = pages().collect();
        if args.json {
            out_json(&all)?
        } else {
            out(&list(&all))?
        }
        return Ok(Answer::Yes);
    };
    let page = page(code).map_err(|near| unknown(code, near))?;
    if args.json {
        out_json(&page)?
    } else {
        out(&told(&page))?
    }
    Ok(Answer::Yes)
}

fn unknown(code: &str, near: Option<&str>) -> Failure {
    let remedy = match near {
        Some(near) => format!("did you mean `{near}`? `fulltray explain` lists all codes"),
        None => "`fulltray explain` lists all codes".to_owned(),
    };
    Failure::plain("F0075", format!("there is no code `{code}`"), remedy)
}

fn list(pages: &[Page]) -> String {
    pages.iter().map(|page| format!("{:<6} {}\n", page.code, page.title)).collect()
}

fn told(page: &Page) -> String {
    let mut text = format!("{}: {}\n\n{}\n", page.code, page.title, wrapped(page.why, 88));
    match page.kind {
        "hazard" => text.push_str("\nA built-in hazard: no order of the steps may lead to it.\n"),
        "need" => text.push_str("\nA built-in need: the hands cannot do the step before it holds.\n"),
        _ => {}
    }
    for (title, example) in [("Wrong", page.wrong), ("Right", page.right)] {
        if !example.is_empty() {
            text.push_str(&format!("\n{title}:\n"));
            text.extend(example.lines().map(|line| format!("    {line}\n")));
        }
    }
    text
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
