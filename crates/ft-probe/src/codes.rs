//! The codes of what can be wrong with a mapping, and with what a probe sends, each with its reason.

/// What there is to say of a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code {
    /// Such as `P0003`.
    pub code: &'static str,
    /// A few words, no full stop.
    pub title: &'static str,
    /// Why it is a problem, and what to do.
    pub why: &'static str,
}

const fn code(code: &'static str, title: &'static str, why: &'static str) -> Code {
    Code { code, title, why }
}

/// All codes, in order: of the mapping up to `P0099`, of what was sent from `P0101`.
pub const CODES: &[Code] = &[
    code(
        "P0001",
        "not one list of probes",
        "A file of probes holds one node `probes { … }` and nothing beside it.",
    ),
    code(
        "P0002",
        "an unknown word",
        "The words of a mapping are fixed: one that is misspelt would be a probe that is not watched.",
    ),
    code(
        "P0003",
        "something is missing",
        "A probe says its unit, how often it promises a reading (`every`), and where its readings come from (`topic` or `file`); a broker and a folder say where they are.",
    ),
    code(
        "P0004",
        "a value that cannot be read",
        "Times and amounts stand in quotes with their unit: \"10 s\", \"< 5 °C\". A topic has no wildcards; a pointer into JSON begins with `/`.",
    ),
    code(
        "P0005",
        "said twice",
        "Two probes of one name, or two that would stand in the record under one name, could not be told apart.",
    ),
    code(
        "P0006",
        "a unit that does not fit",
        "A limit, a warning and what is possible are of the kind that the probe measures; °C and °F are one kind, °C and mg/L are not.",
    ),
    code(
        "P0007",
        "it contradicts itself",
        "A warning comes before the limit, a limit lies within what is possible, and a silence is not shorter than the interval that is promised.",
    ),
    code(
        "P0008",
        "not in this kitchen",
        "A probe stands at a place, a machine or a vessel that the kitchen's files name: the release looks for it there.",
    ),
    code(
        "P0101",
        "not text",
        "The message is not UTF-8, or longer than 4096 bytes. It is counted, and no reading is taken from it.",
    ),
    code(
        "P0102",
        "not a number",
        "What stands where the value should be is no number: a probe that is broken often sends `null`, `nan` or a word.",
    ),
    code("P0103", "not JSON", "The mapping points into a message in JSON, and this is none."),
    code(
        "P0104",
        "nothing there",
        "The message has nothing at the place that the mapping points to, or the row is too short.",
    ),
    code(
        "P0105",
        "another unit",
        "The message names a unit that is unknown or of another kind than the probe's. Units of the same kind are converted.",
    ),
    code(
        "P0106",
        "impossible",
        "No such probe shows that: a broken wire, a value at power-on, or another unit than the mapping says.",
    ),
    code("P0107", "no time", "The time cannot be read, or the clocks jumped over it."),
    code(
        "P0108",
        "in the future",
        "The time is more than five minutes ahead: a sender's clock is wrong, and its silence would not be noticed.",
    ),
    code(
        "P0109",
        "not later than the last",
        "The time is not after that of the reading before: it was sent twice, or the sender's clock was set back.",
    ),
    code(
        "P0110",
        "long ago",
        "The reading is more than two days old. It is counted, and left to `fulltray coldchain`, which reads whole logs.",
    ),
    code(
        "P0111",
        "kept by the broker",
        "The broker handed out what it had kept from before. Without a time of its own nobody knows how old that is.",
    ),
    code(
        "P0112",
        "no such column",
        "The file has no such column, or it stands twice: nothing is read from this file.",
    ),
];

#[cfg(test)]
mod tests {
    use super::CODES;

    #[test]
    fn codes_are_in_order_and_say_something() {
        assert!(CODES.windows(2).all(|pair| pair[0].code < pair[1].code));
        assert!(CODES.iter().all(|code| !code.title.is_empty() && code.why.ends_with(['.', '?'])));
    }
}
