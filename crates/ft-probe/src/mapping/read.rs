//! Reads a file of probes: text to mapping, with every problem named in its place.

use std::collections::BTreeMap;

use ft_diag::Problem;
use ft_syntax::Node;

use super::probe::probe;
use super::values::{Values, text};
use super::{Broker, Folder, Mapping, Source};

/// What came of a file of probes.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadMapping {
    /// What it says, without the probes that have problems.
    pub mapping: Mapping,
    /// What is wrong, in the order of the text. A mapping with an error is not to be used.
    pub problems: Vec<Problem>,
    /// Where each probe's name stands, in the order of `mapping.probes`.
    pub spans: Vec<std::ops::Range<usize>>,
}

const WORDS: &[&str] = &["broker", "folder", "probe"];

/// The usual port of a broker without encryption. Source: IANA, service `mqtt`.
const PORT: u16 = 1883;

/// Reads a file of probes. Never fails and never panics; finds every problem.
pub fn read(text: &str) -> ReadMapping {
    let parsed = ft_syntax::parse(text);
    let mut values = Values { problems: parsed.problems };
    let mut out = ReadMapping { mapping: Mapping::default(), problems: Vec::new(), spans: Vec::new() };
    let nodes = &parsed.document.nodes;
    let list = nodes.first().filter(|node| node.name.text == "probes");
    if let (Some(list), 1) = (list, nodes.len()) {
        whole(list, &mut out, &mut values);
    } else {
        let wrong = nodes.iter().find(|node| node.name.text != "probes").or(nodes.get(1));
        let span = wrong.map_or(0..text.len().min(1), |node| node.name.span.clone());
        let remedy = "write one node `probes { … }` with all that belongs to it";
        values.error("P0001", span, "a file of probes holds exactly one list of probes", remedy);
    }
    out.problems = values.problems;
    ft_diag::sort(&mut out.problems);
    out
}

fn whole(list: &Node, out: &mut ReadMapping, values: &mut Values) {
    for node in list.children() {
        match node.name.text.as_str() {
            "broker" => out.mapping.broker = broker(node, values),
            "folder" => out.mapping.folder = folder(node, values),
            "probe" => {
                if let Some(one) = probe(node, values) {
                    out.mapping.probes.push(one);
                    out.spans.push(node.arguments[0].span.clone());
                }
            }
            word => values.unknown(word, node.name.span.clone(), WORDS, "a word of a list of probes"),
        }
    }
    sources_are_there(list, out, values);
    nothing_is_said_twice(out, values);
}

fn broker(node: &Node, values: &mut Values) -> Option<Broker> {
    values.only(node, &["client", "user", "password-env", "keep-alive"]);
    let address = values.argument(node, "an address, such as \"localhost\" or \"192.0.2.7:1883\"")?;
    // An IPv6 address stands in brackets where a port follows it.
    let bare = |host: &str| host.trim_start_matches('[').trim_end_matches(']').to_owned();
    let (host, port) = match address.rsplit_once(':') {
        Some((host, port)) if !host.contains(':') || host.ends_with(']') => (bare(host), port.parse().ok()),
        _ => (bare(&address), Some(PORT)),
    };
    let span = node.arguments[0].span.clone();
    if address.contains("://") || host.is_empty() || port.is_none() {
        let message = format!("`{address}` is no address of a broker");
        values.error("P0004", span, &message, "write name and port, such as \"localhost:1883\"");
        return None;
    }
    let keep_alive = values.seconds_of(node, "keep-alive").unwrap_or(30.0);
    Some(Broker {
        host,
        port: port?,
        client: text(node, "client").unwrap_or_else(|| "fulltray".to_owned()),
        user: text(node, "user"),
        password_env: text(node, "password-env"),
        // The protocol counts whole seconds, and a shorter one would be none.
        keep_alive_s: keep_alive.clamp(5.0, 3600.0) as u16,
    })
}

fn folder(node: &Node, values: &mut Values) -> Option<Folder> {
    values.only(node, &["look-every"]);
    let path = values.argument(node, "a folder")?;
    Some(Folder { path, look_s: values.seconds_of(node, "look-every").unwrap_or(5.0) })
}

fn sources_are_there(list: &Node, out: &ReadMapping, values: &mut Values) {
    let of = |wanted: fn(&Source) -> bool| {
        let found = out.mapping.probes.iter().zip(&out.spans).find(|(probe, _)| wanted(&probe.source));
        found.map(|(_, span)| span.clone())
    };
    let has = |word: &str| list.children().iter().any(|node| node.name.text == word);
    if let (Some(span), false) = (of(|source| matches!(source, Source::Topic { .. })), has("broker")) {
        values.error("P0003", span, "its messages come from no broker", "add `broker \"localhost:1883\"`");
    }
    if let (Some(span), false) = (of(|source| matches!(source, Source::File(_))), has("folder")) {
        values.error("P0003", span, "its file lies in no folder", "add `folder \"loggers\"`");
    }
}

fn nothing_is_said_twice(out: &mut ReadMapping, values: &mut Values) {
    let mut names = BTreeMap::new();
    for (probe, span) in out.mapping.probes.iter().zip(&out.spans) {
        let earlier = names.insert(probe.of(), span.clone()).or_else(|| {
            let name = (probe.of() != probe.name).then(|| probe.name.clone())?;
            names.insert(name, span.clone())
        });
        if let Some(earlier) = earlier {
            let message = format!("there is another probe that stands as `{}` in the record", probe.of());
            let problem = Problem::error("P0005", span.clone(), message)
                .with_remedy("give it a name of its own, or another vessel")
                .with_also(earlier, "here for the first time");
            values.problems.push(problem);
        }
    }
}
