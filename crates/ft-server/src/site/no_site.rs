//! Why a site does not start, and what a request is told of it.

use ft_app::tonight::NoNight;
use ft_store::StoreError;

use crate::problem::Problem;

/// Why the site does not start.
#[derive(Debug)]
pub enum NoSite {
    /// The record.
    Store(StoreError),
    /// There is no plan.
    Night(NoNight),
    /// A machine cannot be run: its name, and why.
    Machine(String, Vec<String>),
    /// A file cannot be read.
    File(String),
    /// The address cannot be listened on.
    Listen(std::io::Error),
    /// The certificate.
    Certificate(String),
    /// The probes' file names what the kitchen does not have.
    Probes(Vec<ft_diag::Problem>),
}

impl From<StoreError> for NoSite {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl NoSite {
    /// What a request is told.
    pub fn problem(self) -> Problem {
        match self {
            Self::Store(error) => error.into(),
            Self::Night(NoNight::Trouble(source, trouble)) => {
                let (wrong, remedy) = match trouble {
                    ft_app::Trouble::Choice(wrong, remedy) => (wrong, remedy),
                    ft_app::Trouble::Problems(problems) => {
                        let first = problems.first().map(|problem| problem.message.clone());
                        (first.unwrap_or_default(), "Look at the file's page: it shows the place.".into())
                    }
                    ft_app::Trouble::Form(sentences) => (sentences.join("; "), String::new()),
                };
                Problem::bad("W0428", format!("{}: {wrong}", source.name), remedy)
            }
            Self::Night(NoNight::Unsafe(machine, story)) => Problem::conflict(
                "W0418",
                format!("{machine}: its card is not safe, so nothing is planned. {}", story.join(" ")),
                "`fulltray repair` shows which order would make it safe.",
            ),
            Self::Night(NoNight::TooLarge(machine)) => Problem::conflict(
                "W0414",
                format!("{machine}: it could not be proved within the limits."),
                "Leave the machine out, or shorten its card.",
            ),
            Self::Night(NoNight::Broken(rules)) => Problem::new(
                axum::http::StatusCode::INTERNAL_SERVER_ERROR,
                "W0501",
                format!("The plan broke a rule and is not shown: {}", rules.join("; ")),
                "This is an error of the program: report it with the kitchen file.",
            ),
            Self::Machine(machine, why) => Problem::conflict(
                "W0419",
                format!("{machine}: it is not safe with these wash loads: {}", why.join("; ")),
                "Plan again with another seed, or report it with the machine file.",
            ),
            Self::File(error) => Problem::conflict("W0426", error, "Put the file back where it was."),
            Self::Probes(problems) => {
                let first = problems.into_iter().next();
                let (wrong, remedy) =
                    first.map_or_else(Default::default, |p| (p.message, p.remedy.unwrap_or_default()));
                Problem::conflict("W0452", wrong, remedy)
            }
            Self::Listen(error) => Problem::conflict("W0416", error.to_string(), "Name another address."),
            Self::Certificate(error) => {
                Problem::conflict("W0417", error, "Look at the certificate's folder.")
            }
        }
    }
}
