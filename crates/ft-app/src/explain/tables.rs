//! Pages of the codes that tables of readings, records of parts and questions to the rules have.

use ft_syntax::CodePage;

/// Codes that begin with R or W and are not a rule file's.
pub const TABLES: &[CodePage] = &[
    page(
        "R0010",
        "a question that the rules cannot answer",
        "A food, a circumstance, an amount or a set of rules in the question is not one that the rules in force know. The message says which, and what there is.",
    ),
    page(
        "R0011",
        "a column mapping that cannot be read",
        "A mapping tells which columns of a log hold the time and the temperature. `--remember FILE` writes one.",
    ),
    page(
        "R0101",
        "a table that cannot be read",
        "A table is comma-separated text with a line of column names. A row that cannot be read is left out and told.",
    ),
    page(
        "R0102",
        "a column that the table does not have",
        "The column is named exactly as in the first line of the table. The message lists what there is.",
    ),
    page(
        "R0103",
        "a cell that is not a number",
        "Numbers have a dot and no unit, such as 3.5. An empty cell is a gap, which is not the same as zero.",
    ),
    page(
        "R0104",
        "too few readings",
        "A baseline learnt from a handful of readings would give limits that mean nothing. Give more readings.",
    ),
    page(
        "R0105",
        "a chart's setting out of range",
        "Weights are above 0 and up to 1; widths, slack and decision intervals are positive. The message says which is not.",
    ),
    page(
        "R0106",
        "a sampling plan that makes no sense",
        "A plan takes n samples, of which c may lie between m and M; c is less than n, and m is not above M.",
    ),
    page(
        "R0107",
        "a rule on the last results that makes no sense",
        "A rule is k of the last n, with k from 1 to n, and n up to 16.",
    ),
    page(
        "W0101",
        "a record of parts that cannot be read",
        "A record is comma-separated text with a line of column names. A row that cannot be read is left out and told.",
    ),
    page(
        "W0102",
        "a column that the record lacks",
        "The record needs each of its columns, in any order; the message lists them.",
    ),
    page(
        "W0103",
        "not a date in the record",
        "Dates are year, month and day, such as 2026-05-31, so that nobody takes the month for the day.",
    ),
    page(
        "W0104",
        "a part without a name",
        "Lengths of life are learnt for each kind of part, so each row names its kind, spelt the same every time.",
    ),
    page(
        "W0105",
        "a part that leaves before it was fitted",
        "The two dates are swapped or one is mistyped; a negative life would spoil the estimate.",
    ),
    page(
        "W0106",
        "a date later than today",
        "A record tells what has happened. Leave `removed` empty while the part is still in.",
    ),
    page(
        "W0107",
        "an end without a date",
        "A part that failed or was planned out came out on a day; without it nothing is known of its life.",
    ),
    page(
        "W0108",
        "an end that is none",
        "A part came out because it `failed` or because it was `planned`; a planned one would have lasted longer, so they count differently.",
    ),
    page(
        "W0110",
        "one picture for several kinds of part",
        "A picture shows one kind of part. Choose it with `--part NAME`.",
    ),
    page(
        "W0111",
        "a part that the record does not have",
        "The name is written exactly as in the record. The message lists what there is.",
    ),
    page(
        "W0112",
        "a cost, an interval or a share out of range",
        "Costs, shape and interval are above 0, the share in service is from 0 to below 1, days are from 0 to 3650.",
    ),
];

const fn page(code: &'static str, title: &'static str, why: &'static str) -> CodePage {
    CodePage { code, title, why, wrong: "", right: "" }
}
