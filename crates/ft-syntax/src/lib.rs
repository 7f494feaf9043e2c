//! Text to tree and back: KDL 2 read with every problem named and never failing, formatted and edited
//! without losing a comment.
//!
//! Knows nothing of machines or procedures: what a node means is for others to say. The reasons for a
//! parser of our own are in `docs/decisions/001-syntax.md`.
//!
//! Three rules are stricter than KDL 2, because what they forbid is a slip in a file like ours: a property
//! said twice (KDL takes the last), nesting beyond 64 levels, and a text that begins with curly or single
//! quotes (for KDL these are letters). Two are kinder: empty statements `;;` and `{` without a space
//! before it are read as they were meant.

mod chars;
mod codes;
mod decode;
mod dedent;
mod edit;
mod lexer;
mod parser;
mod print;
mod quoted;
mod tidy;
mod tree;
mod value;

pub use chars::is_plain_word;
pub use codes::{CODES, CodePage};
pub use decode::{Unreadable, decode};
pub use edit::{Position, insert_child};
pub use parser::{DEEPEST, MOST_ITEMS, Parsed, parse};
pub use tidy::{quote, tidy};
pub use tree::{Document, Entry, Node, Number, Property, Text, Value};
