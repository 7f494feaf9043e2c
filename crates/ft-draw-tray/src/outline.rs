//! What a part looks like: an outline of our own for each kind, found by the words of the part's name.
//!
//! A machine file says what a part is called, not how it is shaped; a kind of outline is enough to find a part on a
//! tray at arm's length, and a wrong guess does no harm, since name and number stand under it.

/// Kinds of outlines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outline {
    /// An O-ring.
    Ring,
    /// A flat seal around something angular.
    Gasket,
    /// A short cylinder: sleeve, bush, bearing, bellows.
    Sleeve,
    /// A tube or hose.
    Tube,
    /// A nozzle or adapter.
    Nozzle,
    /// A straight blade.
    Blade,
    /// A round blade.
    RoundBlade,
    /// A knob or nut.
    Knob,
    /// A screw.
    Screw,
    /// A pin or rod.
    Rod,
    /// A shaft with a head.
    Shaft,
    /// A handle or lever.
    Handle,
    /// A lid, cap or plug.
    Cap,
    /// A door.
    Door,
    /// A tray, drawer or shelf.
    Pan,
    /// A grid or strainer.
    Grid,
    /// A plate, guard or panel.
    Plate,
    /// A ball or float.
    Ball,
    /// A plunger, piston or valve core.
    Core,
    /// A spring.
    Spring,
    /// A clip.
    Clip,
    /// A beater, spinner or other thing with wings.
    Paddle,
    /// A bowl, bucket or can.
    Bowl,
    /// Anything else.
    Block,
}

/// Words of a name, in English and Spanish, and what they look like.
const WORDS: &[(Outline, &[&str])] = &[
    (Outline::Ring, &["ring", "o-ring", "seal", "anillo", "tórica"]),
    (Outline::Gasket, &["gasket", "junta"]),
    (
        Outline::Sleeve,
        &[
            "boot",
            "bush",
            "bushing",
            "sleeve",
            "bearing",
            "collar",
            "coupling",
            "fuelle",
            "casquillo",
            "cojinete",
        ],
    ),
    (Outline::Tube, &["tube", "hose", "pipe", "arch", "tubo", "manguera", "arco"]),
    (Outline::Nozzle, &["nozzle", "orifice", "adapter", "spout", "boquilla", "orificio", "adaptador"]),
    (Outline::Blade, &["blade", "scraper", "shoe", "slide", "knife", "cuchilla", "patín"]),
    (Outline::Knob, &["knob", "nut", "pomo", "tuerca"]),
    (Outline::Screw, &["screw", "bolt", "tornillo"]),
    (Outline::Rod, &["pin", "rod", "probe", "pasador", "varilla", "sonda"]),
    (Outline::Shaft, &["shaft", "axle", "eje"]),
    (Outline::Handle, &["handle", "lever", "palanca"]),
    (Outline::Cap, &["lid", "cover", "cap", "plug", "tapa", "tapón", "cubierta"]),
    (Outline::Door, &["door", "puerta"]),
    (Outline::Pan, &["tray", "drawer", "shelf", "bandeja", "cajón", "repisa"]),
    (Outline::Grid, &["grid", "grate", "strainer", "filter", "rejilla", "colador", "filtro"]),
    (
        Outline::Plate,
        &["plate", "guard", "shield", "panel", "deflector", "fence", "baffle", "placa", "protector", "guía"],
    ),
    (Outline::Ball, &["ball", "float", "bola", "flotador"]),
    (Outline::Core, &["core", "plunger", "piston", "valve", "émbolo", "pistón", "válvula"]),
    (Outline::Spring, &["spring", "muelle", "resorte"]),
    (Outline::Clip, &["clip", "clamp", "grapa", "pinza"]),
    (
        Outline::Paddle,
        &["beater", "spinner", "agitator", "impeller", "whisk", "batidor", "agitador", "hélice"],
    ),
    (Outline::Bowl, &["bowl", "bucket", "can", "jug", "shell", "hopper", "tanque", "cubo", "tolva"]),
];

impl Outline {
    /// By the words of a name: English names end in the word that says what it is, Spanish ones begin with it.
    /// `None` where no word is known.
    pub fn of_name(name: &str) -> Option<Self> {
        let lower = name.to_lowercase();
        let words: Vec<&str> = lower.split([' ', '-']).filter(|word| !word.is_empty()).collect();
        let of = |word: &str| {
            let known = |names: &[&str]| names.iter().any(|known| *known == word || plural(known, word));
            WORDS.iter().find(|(_, names)| known(names)).map(|(outline, _)| *outline)
        };
        let is_english = words.iter().all(|word| !matches!(*word, "de" | "del" | "la" | "el"));
        if is_english {
            words.iter().rev().find_map(|word| of(word))
        } else {
            words.iter().find_map(|word| of(word))
        }
    }

    /// SVG elements around (0, 0), at most 72 wide and 44 high. What may be filled is the first element.
    pub(crate) fn shape(self) -> &'static str {
        match self {
            Self::Ring => r#"<circle r="20"/><circle r="14"/>"#,
            Self::Gasket => {
                r#"<rect x="-30" y="-19" width="60" height="38" rx="12"/><rect x="-24" y="-13" width="48" height="26" rx="8"/>"#
            }
            Self::Sleeve => {
                r#"<path d="M-20 -15C-20 -20 20 -20 20 -15V15C20 20 -20 20 -20 15Z"/><path d="M-20 -15C-20 -10 20 -10 20 -15M-20 -2C-20 3 20 3 20 -2M-20 9C-20 14 20 14 20 9" fill="none"/>"#
            }
            Self::Tube => {
                r#"<path d="M-34 14V-2C-34 -14 -26 -18 -16 -18H34V-8H-14C-20 -8 -24 -6 -24 2V14Z"/><path d="M28 -18V-8M-34 8H-24" fill="none"/>"#
            }
            Self::Nozzle => {
                r#"<path d="M-20 -18H20V-6L9 18H-9L-20 -6Z"/><path d="M-20 -6H20M0 -1L2.5 5L9 5L4 9L6 15M0 -1L-2.5 5L-9 5L-4 9L-6 15" fill="none"/>"#
            }
            Self::Blade => r#"<path d="M-36 -8H36V2L30 9H-30L-36 2Z"/><path d="M-36 2H36" fill="none"/>"#,
            Self::RoundBlade => r#"<circle r="21"/><circle r="17"/><circle r="4"/>"#,
            Self::Knob => r#"<path d="M-20 0L-10 -17H10L20 0L10 17H-10Z"/><circle r="8"/>"#,
            Self::Screw => {
                r#"<path d="M-32 -12H-22V-6H32V6H-22V12H-32Z"/><path d="M-10 -6L-4 6M0 -6L6 6M10 -6L16 6M20 -6L26 6" fill="none"/>"#
            }
            Self::Rod => {
                r#"<rect x="-36" y="-4" width="72" height="8" rx="4"/><path d="M-29 -4V4" fill="none"/>"#
            }
            Self::Shaft => {
                r#"<path d="M-36 -5H-4V-13H12V-7H36V7H12V13H-4V5H-36Z"/><path d="M-4 -13V13M12 -13V13" fill="none"/>"#
            }
            Self::Handle => {
                r#"<path d="M-30 10C-36 10 -36 -2 -30 -2H4C12 -2 14 -16 22 -16C32 -16 34 -4 26 0C20 3 16 10 8 10Z"/><circle cx="23" cy="-8" r="3"/>"#
            }
            Self::Cap => {
                r#"<path d="M-28 12V2C-28 -12 28 -12 28 2V12Z"/><path d="M-34 12H34M-8 -9V-15H8V-9" fill="none"/>"#
            }
            Self::Door => {
                r#"<rect x="-34" y="-20" width="68" height="40" rx="7"/><circle cx="-15" r="9"/><circle cx="15" r="9"/><path d="M-29 -15H-26M29 -15H26M-29 15H-26M29 15H26" fill="none"/>"#
            }
            Self::Pan => r#"<path d="M-36 -12H36L28 12H-28Z"/><path d="M-32 -5H32" fill="none"/>"#,
            Self::Grid => {
                r#"<rect x="-34" y="-17" width="68" height="34" rx="4"/><path d="M-20 -17V17M-6.7 -17V17M6.7 -17V17M20 -17V17M-34 -6H34M-34 6H34" fill="none"/>"#
            }
            Self::Plate => {
                r#"<path d="M-30 -18H22L32 -8V18H-30Z"/><circle cx="-22" cy="-10" r="3"/><circle cx="-22" cy="10" r="3"/>"#
            }
            Self::Ball => r#"<circle r="15"/><path d="M-8 -6C-6 -10 -2 -11 1 -11" fill="none"/>"#,
            Self::Core => {
                r#"<path d="M-10 -21H10V-13H13V21H-13V-13H-10Z"/><path d="M-13 -6H13M-13 -2H13M-13 10H13M-13 14H13" fill="none"/>"#
            }
            Self::Spring => {
                r#"<path d="M-30 -10L-22 10L-14 -10L-6 10L2 -10L10 10L18 -10L26 10L30 -2" fill="none"/>"#
            }
            Self::Clip => {
                r#"<path d="M-16 -18H-8V6C-8 14 8 14 8 6V-18H16V7C16 25 -16 25 -16 7Z"/><path d="M-16 -10H-8M8 -10H16" fill="none"/>"#
            }
            Self::Paddle => {
                r#"<path d="M-36 -3H-28L-20 -18L-4 -3H4L20 -18L28 -3H36V3H28L20 18L4 3H-4L-20 18L-28 3H-36Z"/><path d="M-28 -3V3M28 -3V3" fill="none"/>"#
            }
            Self::Bowl => r#"<path d="M-30 -18H30L22 18H-22Z"/><path d="M-33 -18H33" fill="none"/>"#,
            Self::Block => {
                r#"<rect x="-28" y="-18" width="56" height="36" rx="5"/><path d="M-28 -6H28" fill="none"/>"#
            }
        }
    }
}

/// Whether a word is another with an ending that makes it more than one.
fn plural(one: &str, word: &str) -> bool {
    word.strip_prefix(one).is_some_and(|ending| matches!(ending, "s" | "es"))
}
