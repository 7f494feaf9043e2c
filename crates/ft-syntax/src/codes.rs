//! A page for each code of a syntax problem, with a wrong and a right example.
//!
//! F0001 to F0029 belong to this crate. Tests run the examples.

/// What there is to say of a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CodePage {
    /// Such as `F0003`.
    pub code: &'static str,
    /// A few words, no full stop.
    pub title: &'static str,
    /// Why it is a problem, and what to do.
    pub why: &'static str,
    /// A text that has this problem and no other; empty where none fits on a page.
    pub wrong: &'static str,
    /// The same put right.
    pub right: &'static str,
}

/// All codes of this crate, in order.
pub const CODES: &[CodePage] = &[
    CodePage {
        code: "F0001",
        title: "not UTF-8",
        why: "Files are text in UTF-8, so that every letter of every language means the same everywhere. \
              An older encoding, UTF-16 or a file that is no text at all cannot be read. \
              Save the file as UTF-8 in your editor.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0002",
        title: "a character that cannot be seen",
        why: "Control characters, marks that turn the direction of writing, and a byte-order mark inside the text \
              cannot be seen, so a file could say something else than it shows. Take the character away. \
              In a quoted text it can be written as an escape.",
        wrong: "say \"Stop\u{202E} the drive\"",
        right: "say \"Stop\\u{202E} the drive\"",
    },
    CodePage {
        code: "F0003",
        title: "a text without its closing quote",
        why: "A text in quotes ends on the line on which it begins. A text over several lines stands between \
              `\"\"\"` and `\"\"\"`, each at the end of a line and on a line of its own.",
        wrong: "say \"Turn the drive to off.",
        right: "say \"Turn the drive to off.\"",
    },
    CodePage {
        code: "F0004",
        title: "an unknown escape",
        why: "In quotes, `\\` begins an escape: `\\n` a new line, `\\t` a tab, `\\s` a space, `\\\"` a quote, `\\\\` a \
              backslash, `\\u{e9}` the character of that number. Before spaces or a line end it takes these away. \
              Before anything else it is an error.",
        wrong: r#"photo "parts\door.jpg""#,
        right: r#"photo "parts\\door.jpg""#,
    },
    CodePage {
        code: "F0005",
        title: "three quotes without lines of their own",
        why: "A text between `\"\"\"` begins on the line after the opening ones and ends before a line that holds \
              only spaces and the closing ones. A text on one line has one quote at each end.",
        wrong: "say \"\"\"Stop the drive.\"\"\"",
        right: "say \"\"\"\n    Stop the drive.\n    Wait until it stands.\n    \"\"\"",
    },
    CodePage {
        code: "F0006",
        title: "a line that begins left of its closing quotes",
        why: "The spaces before the closing `\"\"\"` are taken off every line of the text. \
              So every line must begin with the same spaces or tabs, or be empty.",
        wrong: "say \"\"\"\n    Stop the drive.\n  Wait until it stands.\n    \"\"\"",
        right: "say \"\"\"\n    Stop the drive.\n    Wait until it stands.\n    \"\"\"",
    },
    CodePage {
        code: "F0007",
        title: "a number that cannot be read",
        why: "A word that begins with a digit is a number: `12`, `-6.5`, `1e3`, `1_000`, `0x1F`, `0o17`, `0b101`. \
              An amount with its unit is a text, in quotes, with a space between.",
        wrong: "vessel \"bucket\" capacity=10L",
        right: "vessel \"bucket\" capacity=\"10 L\"",
    },
    CodePage {
        code: "F0008",
        title: "a decimal comma",
        why: "The decimal sign is a point, whatever the language of the kitchen, \
              so that a file means the same everywhere.",
        wrong: "amount 1,5",
        right: "amount 1.5",
    },
    CodePage {
        code: "F0009",
        title: "a value without its `#`",
        why: "`#true`, `#false`, `#null`, `#inf`, `#-inf` and `#nan` are written with `#`, \
              so that a text that happens to read `true` is not taken for one of them.",
        wrong: "fragile true",
        right: "fragile #true",
    },
    CodePage {
        code: "F0010",
        title: "an unknown word after `#`",
        why: "After `#` there can be `true`, `false`, `null`, `inf`, `-inf` and `nan`, or a quote. \
              A text with `#` in it needs quotes.",
        wrong: "slot #12",
        right: "slot \"#12\"",
    },
    CodePage {
        code: "F0011",
        title: "braces that are never closed",
        why: "Each `{` needs its `}`. The place shown is the likeliest: where a closing brace stands further left \
              than its line, the braces before it were probably left open.",
        wrong: "step \"Flush\" {\n    open \"draw\"\n",
        right: "step \"Flush\" {\n    open \"draw\"\n}",
    },
    CodePage {
        code: "F0012",
        title: "a closing brace too many",
        why: "Each `}` closes a `{`. Either this one is too many, or an earlier one closed a block too soon.",
        wrong: "step \"Flush\" {\n    open \"draw\"\n}\n}",
        right: "step \"Flush\" {\n    open \"draw\"\n}",
    },
    CodePage {
        code: "F0013",
        title: "half a property",
        why: "A property is a name, `=` and a value: `at=\"front\"`. The name begins with a letter or stands in quotes.",
        wrong: "step \"Flush\" at=",
        right: "step \"Flush\" at=\"front\"",
    },
    CodePage {
        code: "F0014",
        title: "a property said twice",
        why: "One of the two must be wrong. Other readers of KDL take the last one silently; \
              here nothing is silently ignored. Several values stand in one text or in several children.",
        wrong: "step \"Flush\" at=\"front\" at=\"rear\"",
        right: "step \"Flush\" at=\"front\"",
    },
    CodePage {
        code: "F0015",
        title: "a missing space",
        why: "Values are kept apart by a space. Without one, a quote is often missing or too many.",
        wrong: "sides \"left\"\"right\"",
        right: "sides \"left\" \"right\"",
    },
    CodePage {
        code: "F0016",
        title: "a comment that is never closed",
        why: "A comment that begins with `/*` ends with `*/`; one within the other, each needs its own. \
              A comment after `//` ends with its line.",
        wrong: "open \"draw\" /* both sides",
        right: "open \"draw\" /* both sides */",
    },
    CodePage {
        code: "F0017",
        title: "braces nested too deep",
        why: "More than 64 levels of braces are a slip, or no machine file.",
        wrong: "a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{a{\
                }}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}}",
        right: "a { a { a { } } }",
    },
    CodePage {
        code: "F0018",
        title: "`/-` before nothing",
        why: "`/-` leaves out the node, value, property or braces that follow it, as a comment would. \
              It needs something to leave out.",
        wrong: "step \"Flush\" {\n    open \"draw\"\n    /-\n}",
        right: "step \"Flush\" {\n    /- open \"draw\"\n}",
    },
    CodePage {
        code: "F0019",
        title: "a backslash within a line",
        why: "Outside quotes, `\\` at the end of a line carries a node on to the next line. \
              Elsewhere it means nothing.",
        wrong: "take-off \"door\" \\ \"spinner\"",
        right: "take-off \"door\" \\\n    \"spinner\"",
    },
    CodePage {
        code: "F0020",
        title: "brackets in the wrong place",
        why: "Round brackets hold one word that tells the kind of the node or value after them, as in `(date)\"2026-08-01\"`. \
              A text with brackets in it needs quotes.",
        wrong: "wait (about 90)",
        right: "wait \"(about 90)\"",
    },
    CodePage {
        code: "F0021",
        title: "a line that does not begin with a name",
        why: "Each line, and each part after `;`, is a node and begins with its name; values follow. \
              To go on with the node of the line before, end that line with `\\`.",
        wrong: "12 \"bucket\"",
        right: "vessel \"bucket\" count=12",
    },
    CodePage {
        code: "F0022",
        title: "a text that needs quotes",
        why: "A text without quotes is one word without spaces and without any of `/ \\ ( ) { } [ ] ; = # \"`.",
        wrong: "unit mg/L",
        right: "unit \"mg/L\"",
    },
    CodePage {
        code: "F0023",
        title: "a text that begins with r\"",
        why: "A text in which `\\` has no meaning stands between `#\"` and `\"#`. The older way with `r` is gone.",
        wrong: "photo r\"parts-door.jpg\"",
        right: "photo #\"parts-door.jpg\"#",
    },
    CodePage {
        code: "F0024",
        title: "curly or single quotes",
        why: "Texts stand between straight double quotes. Word processors put curly ones in their place; \
              write machine files in a plain text editor.",
        wrong: "say “Turn the drive to off.”",
        right: "say \"Turn the drive to off.\"",
    },
    CodePage {
        code: "F0025",
        title: "something after a closing brace",
        why: "Values and properties stand before the braces of their node, and a node has one pair of braces. \
              After the `}` a new line begins, or `;`.",
        wrong: "step \"Flush\" { open \"draw\" } at=\"front\"",
        right: "step \"Flush\" at=\"front\" { open \"draw\" }",
    },
    CodePage {
        code: "F0026",
        title: "a line that begins with a brace",
        why: "A line end ends a node, so its `{` stands on its own line.",
        wrong: "step \"Flush\"\n{\n    open \"draw\"\n}",
        right: "step \"Flush\" {\n    open \"draw\"\n}",
    },
    CodePage {
        code: "F0027",
        title: "too many problems to tell",
        why: "Of the syntax problems of one file the first hundred are told. So many usually have one reason: \
              the file is no machine file, or its quotes are not straight.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0028",
        title: "a file that is too big",
        why: "A file may hold half a million nodes and values; the largest machine needs a hundredth of it.",
        wrong: "",
        right: "",
    },
];
