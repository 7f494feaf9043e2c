//! Arguments of the commands of hygiene.

use clap::{Args, Subcommand};

/// Which sets are asked, and for which day.
#[derive(Debug, Clone, Args)]
pub struct RuleArgs {
    /// A rule set by name; may be given more than once. Without any, every set that ships is asked.
    #[arg(long = "set", value_name = "NAME", global = true)]
    pub sets: Vec<String>,
    /// A rule file of your own: a place, a label, the maker's or the house rule.
    #[arg(long = "rules", value_name = "FILE", global = true)]
    pub files: Vec<String>,
    /// The site's file: its stack and its overrides on record.
    #[arg(long, value_name = "FILE", global = true)]
    pub site: Option<String>,
    /// The day that is asked for, such as 2026-06-01 (today, UTC, if left out).
    #[arg(long, value_name = "DAY", global = true)]
    pub on: Option<String>,
    /// Answer in JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

/// Arguments of `rules`.
#[derive(Debug, Clone, Args)]
pub struct RulesArgs {
    /// What is asked; without it the sets are listed.
    #[command(subcommand)]
    pub command: Option<RulesCommand>,
    /// The sets.
    #[command(flatten)]
    pub rules: RuleArgs,
}

/// Questions to the rules.
#[derive(Debug, Clone, Subcommand)]
pub enum RulesCommand {
    /// Tell which rule decides, and what the others say.
    Why(WhyArgs),
    /// List what rules can speak of.
    Subjects,
    /// Check a rule file of your own.
    Check {
        /// The file.
        file: String,
    },
}

/// Arguments of `rules why`.
#[derive(Debug, Clone, Args)]
pub struct WhyArgs {
    /// A figure (`cold-hold`), a practice (`rerun`) or an organism (`coliforms`).
    pub subject: String,
    /// What was found: `43 °F`, `yes` or `no`, `5 /g, 12 /g` with the latest last.
    #[arg(allow_hyphen_values = true)]
    pub value: Option<String>,
    /// A circumstance, such as `flavour=plain`; may be given more than once.
    #[arg(long = "when", value_name = "KEY=WORD")]
    pub when: Vec<String>,
    /// Temperature of the room.
    #[arg(long, value_name = "TEMPERATURE")]
    pub room: Option<String>,
    /// A chemical in use, so that its label speaks.
    #[arg(long = "using", value_name = "PRODUCT")]
    pub products: Vec<String>,
}

/// Arguments of `dose`.
#[derive(Debug, Clone, Args)]
pub struct DoseArgs {
    /// The product's strength as its label says it: `5.25 %`, `12.5 % trade`, `6 % hypochlorite`, `125 g/L`.
    #[arg(allow_hyphen_values = true)]
    pub product: String,
    /// The strength that is wanted, such as `100 mg/L`.
    #[arg(allow_hyphen_values = true)]
    pub target: String,
    /// The finished volume, such as `10 L` or `2 US gal`.
    #[arg(allow_hyphen_values = true)]
    pub volume: String,
    /// Kind of chemical.
    #[arg(long, default_value = "chlorine", value_name = "KIND")]
    pub agent: String,
    /// Density of the product relative to water, where its strength is by weight.
    #[arg(long, value_name = "NUMBER")]
    pub density: Option<f64>,
    /// The product's name, so that its label, a rule file, speaks.
    #[arg(long, value_name = "PRODUCT")]
    pub label: Option<String>,
    /// pH of the solution.
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    pub ph: Option<f64>,
    /// Temperature of the solution.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// Hardness of the water.
    #[arg(long, value_name = "STRENGTH")]
    pub hardness: Option<String>,
    /// How long things stay in it.
    #[arg(long, value_name = "TIME")]
    pub contact: Option<String>,
    /// The half-life that strips have shown here, to tell how long the solution lasts.
    #[arg(long, value_name = "TIME")]
    pub half_life: Option<String>,
    /// It is rinsed off with clean water afterwards.
    #[arg(long)]
    pub rinsed: bool,
    /// The sets.
    #[command(flatten)]
    pub rules: RuleArgs,
}

/// Arguments of `coldchain`.
#[derive(Debug, Clone, Args)]
pub struct ColdchainArgs {
    /// A log with a header, separated by commas or what `--delimiter` says; `-` is standard input.
    pub file: String,
    /// A column mapping that was remembered.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["time", "date", "temperature", "unit", "zone", "format", "delimiter", "decimal_comma"])]
    pub mapping: Option<String>,
    /// Remember the column mapping in this file.
    #[arg(long, value_name = "FILE")]
    pub remember: Option<String>,
    /// Column of the time.
    #[arg(long, value_name = "COLUMN", required_unless_present = "mapping")]
    pub time: Option<String>,
    /// Column of the date, where it stands apart.
    #[arg(long, value_name = "COLUMN")]
    pub date: Option<String>,
    /// Column of the temperature.
    #[arg(long, value_name = "COLUMN", required_unless_present = "mapping")]
    pub temperature: Option<String>,
    /// Unit of the temperature: `°C` or `°F`.
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<String>,
    /// Zone of the logger's clock, such as `Europe/Berlin`.
    #[arg(long, value_name = "ZONE", default_value = "UTC")]
    pub zone: String,
    /// How times are written, in the manner of strptime; ISO 8601 if left out.
    #[arg(long, value_name = "FORMAT")]
    pub format: Option<String>,
    /// What stands between columns.
    #[arg(long, value_name = "CHARACTER")]
    pub delimiter: Option<char>,
    /// Decimals have a comma.
    #[arg(long)]
    pub decimal_comma: bool,
    /// Tell the time above this temperature; may be given more than once.
    #[arg(long = "above", value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub above: Vec<String>,
    /// Judge the cooling windows of the rules for this food: `cooked`, `ambient`, `reconstituted` or `mix`.
    #[arg(long, value_name = "FOOD")]
    pub cooling: Option<String>,
    /// List the heat-treatment cycles of a machine and judge each by the rules.
    #[arg(long)]
    pub cycles: bool,
    /// A cycle is at or above this temperature (that of the strictest rule if left out).
    #[arg(long, value_name = "TEMPERATURE", requires = "cycles")]
    pub hot: Option<String>,
    /// Heat-up begins and cool-down ends at this temperature (that of the strictest rule for the hopper if left out).
    #[arg(long, value_name = "TEMPERATURE", requires = "cycles", allow_hyphen_values = true)]
    pub cold: Option<String>,
    /// Also hold each cycle against the rules for heat-treating the mix itself.
    #[arg(long, requires = "cycles")]
    pub mix: bool,
    /// Readings further apart leave a gap.
    #[arg(long, value_name = "TIME", default_value = "30 min")]
    pub gap: String,
    /// List at most this many of the rows that were left out; all are counted.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub list: usize,
    /// The sets.
    #[command(flatten)]
    pub rules: RuleArgs,
}

/// Arguments of `product`.
#[derive(Debug, Clone, Args)]
pub struct ProductArgs {
    /// What is reckoned.
    #[command(subcommand)]
    pub command: ProductCommand,
    /// Answer in JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

/// What can be reckoned of the product.
#[derive(Debug, Clone, Subcommand)]
pub enum ProductCommand {
    /// Weigh a cup: overrun, the band, and the usual mistakes by name. Weights in grams.
    Cup {
        /// The cup with product.
        #[arg(long, value_name = "G")]
        gross: f64,
        /// The mix alone that fills the same cup.
        #[arg(long, value_name = "G")]
        mix: f64,
        /// The empty cup.
        #[arg(long, value_name = "G")]
        tare: f64,
        /// Least overrun that the site wants, per cent.
        #[arg(long, value_name = "PERCENT", default_value_t = 30.0)]
        least: f64,
        /// Most overrun that the site wants, per cent.
        #[arg(long, value_name = "PERCENT", default_value_t = 60.0)]
        most: f64,
        /// The overrun that somebody worked out, per cent.
        #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
        reported: Option<f64>,
    },
    /// Freezing point of a mix and how much of its water is ice. Grams in 100 g.
    Freezing {
        /// Milk solids without fat.
        #[arg(long, value_name = "G", default_value_t = 0.0)]
        milk_solids: f64,
        /// Whey solids.
        #[arg(long, value_name = "G", default_value_t = 0.0)]
        whey_solids: f64,
        /// Sucrose.
        #[arg(long, value_name = "G", default_value_t = 0.0)]
        sucrose: f64,
        /// Glucose syrup solids of 42 dextrose equivalents.
        #[arg(long, value_name = "G", default_value_t = 0.0)]
        glucose_syrup: f64,
        /// Water.
        #[arg(long, value_name = "G")]
        water: f64,
        /// Draw temperature.
        #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
        at: Option<String>,
    },
    /// Bring a syrup from one Brix to another.
    Brix {
        /// Kilograms of syrup.
        #[arg(long, value_name = "KG")]
        syrup: f64,
        /// Its Brix.
        #[arg(long, value_name = "BRIX")]
        from: f64,
        /// The Brix that is wanted.
        #[arg(long, value_name = "BRIX")]
        to: f64,
    },
}

/// Arguments of `datemark`.
#[derive(Debug, Clone, Args)]
pub struct DatemarkArgs {
    /// Day one of a lot, the day of preparation or opening; more than one where lots are combined, `none` where
    /// nobody marked it.
    #[arg(required = true, value_name = "DAY")]
    pub lots: Vec<String>,
    /// The maker's last day.
    #[arg(long, value_name = "DAY")]
    pub maker: Option<String>,
    /// In the freezer from one day to another, such as 2026-06-02..2026-06-12, every lot alike.
    #[arg(long, value_name = "DAY..DAY")]
    pub frozen: Vec<String>,
    /// The sets.
    #[command(flatten)]
    pub rules: RuleArgs,
}

/// Arguments of `timecontrol`.
#[derive(Debug, Clone, Args)]
pub struct TimecontrolArgs {
    /// When it left temperature control: `12:00` on the day of `--on`, or with its date, `2026-06-01T12:00`.
    #[arg(long, value_name = "TIME")]
    pub start: String,
    /// How warm it was then, such as `40 °F`.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub at: String,
    /// Zone of the clock on the wall, such as `Europe/Berlin`; it matters in the night when clocks change.
    #[arg(long, value_name = "ZONE", default_value = "UTC")]
    pub zone: String,
    /// The sets.
    #[command(flatten)]
    pub rules: RuleArgs,
}
