//! Writes a repair into the machine file, as `after … because …` in the later step, touching nothing else.

use ft_compile::lower::TaskFrom;
use ft_syntax::{Node, Position, insert_child, quote};

use crate::order::RepairView;
use crate::source::{Forms, Source};

/// The text of the machine file with the repair in it; comments and layout stay as they are.
///
/// # Errors
/// One sentence: the repair is about something that has no step in the file, or inside one step.
pub fn written(source: &Source, forms: &Forms, view: &RepairView) -> Result<String, String> {
    let prepared = forms.prepared.first().ok_or("there is nothing to repair")?;
    let (Some(file), Some(lowered)) = (&forms.file, &prepared.lowered) else {
        return Err("a core form file has no steps to write into".into());
    };
    let title = |event: &str| -> Result<String, String> {
        let id =
            lowered.form.events.iter().position(|known| known.name == event).ok_or("an event has no name")?;
        let task = lowered.tasks.iter().find(|task| task.events.contains(&id));
        match task.map(|task| task.from) {
            Some(TaskFrom::Step(step)) => {
                let procedure = file
                    .procedures
                    .iter()
                    .find(|procedure| {
                        procedure.steps.get(step).is_some_and(|step| event.starts_with(&step.named.name))
                    })
                    .ok_or("the step is not in the file")?;
                Ok(procedure.steps[step].named.name.clone())
            }
            _ => Err(format!("`{event}` is written by the tool and not in the file")),
        }
    };
    let mut text = source.text.clone();
    for added in view.add.as_deref().unwrap_or_default() {
        let (before, after) = (title(&added.before)?, title(&added.after)?);
        if before == after {
            return Err(format!("`{before}` has to be split: the order is between parts of it"));
        }
        let parsed = ft_syntax::parse(&text);
        let node = step(&parsed.document.nodes, &after)
            .ok_or_else(|| format!("the step `{after}` is mirrored and not written in the file"))?;
        let line = format!("after {} because={}", quote(&before), quote(&added.told));
        text = insert_child(&text, node, Position::First, &line);
    }
    Ok(text)
}

fn step<'a>(nodes: &'a [Node], title: &str) -> Option<&'a Node> {
    nodes.iter().filter(|node| node.name.text == "procedure").flat_map(Node::children).find(|node| {
        node.name.text == "step" && node.arguments.first().and_then(ft_syntax::Entry::as_text) == Some(title)
    })
}
