//! Real browsers at a real site: whole nights and mornings, drop-outs, mistakes, refusals, recalls, practice, probes, sizes,
//! contrast and weight.
//!
//! Everything runs on this machine alone. Where there is no `chromium` with its driver each test says SKIPPED.

mod crew;
mod morning;
mod nights;
mod pictures;
mod practice;
mod probes;
mod reasons;
mod recall;
mod screens;
mod tells;

use ft_browser::{Driver, Session, Site, Size, Wire};

/// A kitchen of one shake freezer and two people, both signed in, each at a tablet with a cable of its own.
struct Kitchen {
    site: Site,
    marisol: Session,
    teo: Session,
    teos_wire: Wire,
    // Last, so that the browsers close before it ends.
    _driver: Driver,
}

impl Kitchen {
    /// Opens the kitchen; `None` where there is no browser.
    fn open() -> Option<Self> {
        Self::open_with(&[])
    }

    /// The same with more files beside the kitchen's.
    fn open_with(files: &[(&str, &str)]) -> Option<Self> {
        let driver = Driver::start()?;
        let site = Site::start_and(&program(), files);
        let marisol = driver.session("marisol", Size::TABLET);
        let teo = driver.session("teo", Size::PHONE);
        let teos_wire = Wire::to(site.port());
        for tablet in [&marisol, &teo] {
            crew::with_clock(tablet);
        }
        site.set_up(&marisol, "Marisol");
        site.add("Teo", &["closer"]);
        marisol.go(&site.address());
        crew::sign_in(&teo, &teos_wire.address(), "Teo");
        Some(Self { site, marisol, teo, teos_wire, _driver: driver })
    }

    /// Begins the night; both stand at their step.
    fn begin(&self) {
        self.marisol.go(&self.site.address());
        self.marisol.touch("#start");
        self.both_at_their_steps();
    }

    /// A run was just begun at Marisol's tablet: waits until it is planned, and Teo comes too.
    fn both_at_their_steps(&self) {
        until_begun(&self.marisol);
        self.teo.go(&format!("{}/step", self.teos_wire.address()));
        for tablet in [&self.marisol, &self.teo] {
            crew::asks(tablet);
        }
    }

    fn both(&self) -> [&Session; 2] {
        [&self.marisol, &self.teo]
    }

    /// Fills the trays and signs; the page says that the night is signed.
    fn sign(&self) {
        let tray = format!("{}/tray/shake%20freezer", self.site.address());
        self.marisol.go(&tray);
        crew::fill_tray(&self.marisol, 500);
        crew::until_sent(&self.marisol);
        self.marisol.go(&self.site.address());
        self.marisol.touch("#sign");
        self.marisol.until_text("Tonight is signed");
    }
}

/// Waits until a night that was started stands at its first step: the plan is made, which may take longer than anything
/// else.
fn until_begun(tablet: &Session) {
    for _ in 0..8 {
        if tablet.path() == "/step" {
            break;
        }
        std::thread::sleep(std::time::Duration::from_secs(5));
    }
    tablet.until("the step page", "return location.pathname === '/step'");
}

/// The program: the one built with these tests, or another one, such as a release build, by `FULLTRAY_PROGRAM`.
fn program() -> String {
    std::env::var("FULLTRAY_PROGRAM").unwrap_or_else(|_| env!("CARGO_BIN_EXE_fulltray").to_owned())
}
