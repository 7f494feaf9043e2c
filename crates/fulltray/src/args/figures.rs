//! Arguments of the commands that judge readings, samples and wear.

use clap::{Args, Subcommand};

/// Arguments of `chart`.
#[derive(Debug, Clone, Args)]
#[command(allow_negative_numbers = true)]
pub struct ChartArgs {
    /// A table (CSV) with a heading, in order of time; `-` is standard input. An empty cell is a gap.
    pub file: String,
    /// The column that holds the values.
    #[arg(long, value_name = "NAME", default_value = "value")]
    pub column: String,
    /// What is charted.
    #[arg(long, default_value = "Readings")]
    pub title: String,
    /// Unit of the values.
    #[arg(long, default_value = "")]
    pub unit: String,
    /// How many of the first rows set centre and spread; 0 takes all, which flags less.
    #[arg(long, value_name = "ROWS", default_value_t = 0)]
    pub baseline: usize,
    /// What the process should be at (the mean of the baseline if left out).
    #[arg(long, value_name = "VALUE")]
    pub target: Option<f64>,
    /// Least value that the rule or label allows.
    #[arg(long, value_name = "VALUE")]
    pub low: Option<f64>,
    /// Greatest value that the rule or label allows.
    #[arg(long, value_name = "VALUE")]
    pub high: Option<f64>,
    /// Whose limits these are, such as "label of the sanitiser".
    #[arg(long, value_name = "WORDS", default_value = "limit as given")]
    pub whose: String,
    /// How far off a reading may be, on both sides.
    #[arg(long, value_name = "VALUE", default_value_t = 0.0)]
    pub uncertainty: f64,
    /// Weight of the newest reading in the moving average, above 0 and up to 1.
    #[arg(long, value_name = "SHARE", default_value_t = 0.2)]
    pub weight: f64,
    /// Limits of the moving average in standard deviations.
    #[arg(long, value_name = "SIGMAS", default_value_t = 2.962)]
    pub width: f64,
    /// Slack of the cumulative sum in standard deviations.
    #[arg(long, value_name = "SIGMAS", default_value_t = 0.5)]
    pub slack: f64,
    /// Decision interval of the cumulative sum in standard deviations.
    #[arg(long, value_name = "SIGMAS", default_value_t = 5.0)]
    pub decision: f64,
    /// Draw the chart into this SVG file.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<String>,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `sample`.
#[derive(Debug, Clone, Args)]
pub struct SampleArgs {
    /// What is judged.
    #[command(subcommand)]
    pub kind: SampleKind,
    /// Answer in JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

/// What `sample` judges.
#[derive(Debug, Clone, Subcommand)]
pub enum SampleKind {
    /// A lot by a plan: n samples, at most c above m, none above M.
    Plan {
        /// Number of samples.
        #[arg(short)]
        n: u32,
        /// Number of samples that may be above m.
        #[arg(short)]
        c: u32,
        /// Limit of a good sample.
        #[arg(short)]
        m: f64,
        /// Limit that no sample may exceed; without it the plan has two classes.
        #[arg(short = 'M')]
        big_m: Option<f64>,
        /// Counts as the laboratory wrote them: 120, "<10", ">30000".
        counts: Vec<String>,
    },
    /// Results in order of time by "k of the last n".
    Last {
        /// Number that fails.
        #[arg(short)]
        k: u32,
        /// Number of last results that count, up to 16.
        #[arg(short)]
        n: u32,
        /// Limit of each result.
        #[arg(long)]
        limit: f64,
        /// Results, the oldest first.
        results: Vec<f64>,
    },
    /// A swab by what clean reads here.
    Swab {
        /// A table (CSV) of swabs of surfaces that were accepted as clean; 20 or more.
        file: String,
        /// The column that holds them.
        #[arg(long, value_name = "NAME", default_value = "light")]
        column: String,
        /// The swab to judge.
        #[arg(long, value_name = "LIGHT")]
        reading: f64,
        /// The swab repeats one that was a caution.
        #[arg(long)]
        again: bool,
    },
    /// Which heads of a machine to sample, and how often.
    Heads {
        /// Number of barrels.
        #[arg(value_parser = clap::value_parser!(u32).range(1..=24))]
        barrels: u32,
        /// Rounds so far, the oldest first: `pass` or `fail`.
        #[arg(long, value_delimiter = ',', value_parser = ["pass", "fail"])]
        rounds: Vec<String>,
    },
}

/// Arguments of `wear`.
#[derive(Debug, Clone, Args)]
pub struct WearArgs {
    /// A table (CSV) of the past headed `part,place,fitted,removed,end`; `-` is standard input.
    #[arg(required_unless_present = "store")]
    pub file: Option<String>,
    /// The record, for its own replacements; a table of the past is added to them.
    #[arg(long, value_name = "PLACE")]
    pub store: Option<String>,
    /// Only this kind of part.
    #[arg(long, value_name = "NAME")]
    pub part: Option<String>,
    /// The date of the answer, such as 2026-05-31 (today if left out).
    #[arg(long, value_name = "DATE")]
    pub today: Option<String>,
    /// Cost of a planned change: part and work.
    #[arg(long, value_name = "MONEY", requires = "failure_cost")]
    pub planned_cost: Option<f64>,
    /// Cost of a failure: part, work, lost product and lost trade.
    #[arg(long, value_name = "MONEY", requires = "planned_cost")]
    pub failure_cost: Option<f64>,
    /// The maker's longest interval; nothing lifts it.
    #[arg(long, value_name = "DAYS")]
    pub longest: Option<f64>,
    /// Shape to assume while nothing has failed, from earlier lives of the same kind of part.
    #[arg(long, value_name = "SHAPE")]
    pub shape: Option<f64>,
    /// Days from order to delivery.
    #[arg(long, value_name = "DAYS", default_value_t = 14.0)]
    pub lead: f64,
    /// Probability with which all wishes over the lead time are met.
    #[arg(long, value_name = "SHARE", default_value_t = 0.95)]
    pub service: f64,
    /// Spares on the shelf and on order.
    #[arg(long, value_name = "COUNT", default_value_t = 0)]
    pub have: u64,
    /// How far ahead the chance of a failure is looked at.
    #[arg(long, value_name = "DAYS", default_value_t = 30.0)]
    pub ahead: f64,
    /// Draw the life curve into this SVG file; needs `--part` when there are several.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<String>,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
}
