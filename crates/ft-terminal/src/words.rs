//! The words of the keyboard. What the pages say too comes from their table, so that one thing has one word.

use ft_pages::Language;
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// By key: English, Spanish; in order of the keys.
const TABLE: &[(&str, &str, &str)] = &[
    ("again", "Once more:", "Otra vez:"),
    (
        "answer.bad",
        "“{typed}” is none of these. Type a number from 1 to {most}.",
        "«{typed}» no es ninguna. Escriba un número del 1 al {most}.",
    ),
    ("answer.back", "nothing typed: back", "sin escribir nada: volver"),
    ("at", "Where", "Dónde"),
    ("begin.ask", "Begin now? (yes / no)", "¿Empezar ahora? (sí / no)"),
    ("begin.none", "There is no plan for this night:", "No hay plan para esta noche:"),
    (
        "begin.none-hint",
        "More people or more time would help: a night with others is started on a tablet (`fulltray serve`); the time \
         is `out-by` in the kitchen file.",
        "Ayudaría más gente o más tiempo: una noche con otros se empieza en una tableta (`fulltray serve`); la hora es \
         `out-by` en el archivo de la cocina.",
    ),
    ("begin.not-begun", "Nothing was begun.", "No se ha empezado nada."),
    (
        "begin.plan",
        "The plan, as from the kitchen's hours: begin {begins}, out {out}.",
        "El plan, según el horario de la cocina: empieza {begins}, salida {out}.",
    ),
    ("begin.plan-now", "Begun now, it is out {out}.", "Si se empieza ahora, la salida es {out}."),
    ("begin.planning", "The plan is being made …", "Se está haciendo el plan …"),
    (
        "begin.unknown",
        "{who} is not in the kitchen file, so nothing can be planned. It knows: {people}.",
        "{who} no está en el fichero de cocina, así que no se puede planear. Conoce a: {people}.",
    ),
    ("begin.wanted", "Wanted: out by {time}.", "Se quiere salir antes de {time}."),
    (
        "caution.general",
        "Local code, the equipment's own instructions and the label come first.",
        "Primero van la normativa local, las instrucciones del equipo y la etiqueta.",
    ),
    (
        "command.bad",
        "“{typed}” means nothing here. Type ? to see what can be typed.",
        "«{typed}» no significa nada aquí. Escriba ? para ver qué se puede escribir.",
    ),
    (
        "command.number",
        "There is nothing to choose by number here.",
        "Aquí no hay nada que elegir por número.",
    ),
    ("differ.own", "other words", "otras palabras"),
    ("done-so", "Recorded: {what}", "Anotado: {what}"),
    (
        "early",
        "Not yet: {time} more. If it happened all the same, type x.",
        "Todavía no: faltan {time}. Si ha pasado de todos modos, escriba x.",
    ),
    ("else.waits", "waits", "espera"),
    ("help.done", "it is done, or goes on", "está hecho, o sigue"),
    ("help.help", "this list", "esta lista"),
    ("help.language", "español", "English"),
    ("help.measure", "a reading, with its unit", "una medida, con su unidad"),
    ("help.next", "what comes next", "qué viene después"),
    ("help.quit", "quit; the night goes on later", "salir; la noche sigue más tarde"),
    ("help.sign", "sign at the end, with the PIN", "firmar al final, con el PIN"),
    ("help.timers", "timers that run", "relojes en marcha"),
    (
        "help.tray",
        "the tray, slot by slot; a part that is missing",
        "la bandeja, hueco por hueco; una pieza que falta",
    ),
    ("help.undo", "take back the last thing", "deshacer lo último"),
    (
        "help.wait",
        "let the time pass until the next timer rings",
        "dejar pasar el tiempo hasta el próximo reloj",
    ),
    ("help.why", "why this now, or why not yet", "por qué esto ahora, o por qué todavía no"),
    ("go-on", "Going on with the night that began {time}.", "Se sigue con la noche que empezó {time}."),
    (
        "later",
        "The night stays open. The same command goes on with it.",
        "La noche queda abierta. La misma orden sigue con ella.",
    ),
    ("measure.ask", "{what} in {unit}:", "{what} en {unit}:"),
    (
        "measure.bad",
        "“{typed}” is no number in {unit}. Nothing was recorded.",
        "«{typed}» no es un número en {unit}. No se ha anotado nada.",
    ),
    ("name.ask", "Name or number:", "Nombre o número:"),
    (
        "name.first",
        "Nobody has signed in here yet. Who leads this kitchen?",
        "Aquí no ha entrado nadie todavía. ¿Quién dirige esta cocina?",
    ),
    ("name.own", "Type a name.", "Escriba un nombre."),
    ("of-step", "{now} of {all}", "{now} de {all}"),
    ("others", "The plan has this for {people}.", "El plan da esto a {people}."),
    ("pin.ask", "PIN:", "PIN:"),
    ("pin.differ", "These are two PINs. Nothing was set.", "Son dos PIN distintos. No se ha guardado nada."),
    (
        "pin.first",
        "A PIN of 4 to 12 digits for {who}, to sign with:",
        "Un PIN de 4 a 12 cifras para {who}, para firmar:",
    ),
    (
        "pin.locked",
        "Too many wrong PINs: {who} is locked until a lead sets a new PIN.",
        "Demasiados PIN incorrectos: {who} queda bloqueado hasta que un responsable ponga otro.",
    ),
    ("pin.wait", "Too many wrong PINs: wait {time}.", "Demasiados PIN incorrectos: espere {time}."),
    ("pin.wrong", "Name and PIN do not belong together.", "El nombre y el PIN no van juntos."),
    ("refused", "It was not recorded: {why}", "No se ha anotado: {why}"),
    ("sign.against", "It cannot be signed yet:", "Todavía no se puede firmar:"),
    (
        "sign.ask",
        "{who} signs that it was done as the record says. PIN:",
        "{who} firma que se hizo como dice el registro. PIN:",
    ),
    (
        "sign.done",
        "Signed by {who} at {time}. The record is sealed.",
        "Firmado por {who} a las {time}. El registro está sellado.",
    ),
    ("sign.how", "Type s to sign.", "Escriba f para firmar."),
    ("sign.not", "Not signed.", "No se ha firmado."),
    ("together", "together with {people}", "junto con {people}"),
    (
        "tray.ask",
        "Lies it there? (yes / no / nothing typed: back)",
        "¿Está ahí? (sí / no / sin escribir nada: volver)",
    ),
    ("tray.full-all", "Every slot is filled.", "Todos los huecos están llenos."),
    ("tray.missing-ask", "Missing: {what}. What now?", "Falta: {what}. ¿Qué se hace?"),
    ("tray.slot", "Slot {slot}: {what}", "Hueco {slot}: {what}"),
    ("tray.still", "It stays on the search list", "Sigue en la lista de búsqueda"),
    ("timers.none", "No timer runs.", "No hay ningún reloj en marcha."),
    (
        "undo.none",
        "There is nothing of yours that can be taken back: what came after stands on it. Type x if it happened differently.",
        "No hay nada suyo que se pueda deshacer: lo siguiente depende de ello. Escriba x si ha pasado otra cosa.",
    ),
    ("undo.because", "undone at the keyboard", "deshecho en el teclado"),
    ("which", "Which machine?", "¿Qué máquina?"),
    (
        "welcome",
        "The night at this keyboard. Answers are typed; ? shows what can be typed.",
        "La noche en este teclado. Las respuestas se escriben; ? muestra qué se puede escribir.",
    ),
];

/// The words in one language.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Words(pub Language);

impl Words {
    /// The language's code.
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// A text by its key.
    pub fn say(self, key: &str) -> &'static str {
        match TABLE.iter().find(|row| row.0 == key) {
            Some((_, english, spanish)) => match self.0 {
                Language::English => english,
                Language::Spanish => spanish,
            },
            None => ft_pages::text(self.0, key),
        }
    }

    /// A text with its blanks filled in.
    pub fn fill(self, key: &str, blanks: &[(&str, &str)]) -> String {
        let mut text = self.say(key).to_owned();
        for (blank, with) in blanks {
            text = text.replace(&format!("{{{blank}}}"), with);
        }
        text
    }

    /// Names as a list.
    pub fn list(self, names: &[String]) -> String {
        let and = match self.0 {
            Language::English => "and",
            Language::Spanish => "y",
        };
        match names {
            [] => String::new(),
            [one] => one.clone(),
            [rest @ .., last] => format!("{} {and} {last}", rest.join(", ")),
        }
    }

    /// Whether an answer is yes or no, in either language; `None` where it is neither.
    pub fn is_yes(typed: &str) -> Option<bool> {
        match typed.trim().to_lowercase().as_str() {
            "y" | "yes" | "s" | "si" | "sí" => Some(true),
            "n" | "no" => Some(false),
            _ => None,
        }
    }
}

/// A time of day where the kitchen is, as `21:30`.
pub fn clock(at_ms: i64) -> String {
    let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
    let at = TimeZone::system().to_datetime(at);
    format!("{:02}:{:02}", at.hour(), at.minute())
}

/// A span as `1:05`, or `2:01:05` from an hour on; never less than nothing, rounded up to a second.
pub fn span(ms: i64) -> String {
    let seconds = ms.max(0).unsigned_abs().div_ceil(1000);
    let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if hours == 0 { format!("{minutes}:{seconds:02}") } else { format!("{hours}:{minutes:02}:{seconds:02}") }
}

/// Words in lines of at most `most` characters; a longer word has a line of its own.
pub fn wrap(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::{TABLE, Words, span, wrap};
    use ft_pages::Language;

    /// Nothing is empty, what is filled in is filled in in both, and each key is there once and asked for.
    #[test]
    fn complete_in_both_languages() {
        let blanks = |text: &str| -> Vec<String> {
            let mut all: Vec<String> = text
                .split('{')
                .skip(1)
                .filter_map(|rest| rest.split('}').next())
                .map(str::to_owned)
                .collect();
            all.sort();
            all
        };
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let mut sources = String::new();
        for file in std::fs::read_dir(folder).expect("the sources") {
            let path = file.expect("an entry").path();
            if !path.ends_with("words.rs") {
                sources += &std::fs::read_to_string(path).expect("a source can be read");
            }
        }
        for (index, (key, english, spanish)) in TABLE.iter().enumerate() {
            assert!(!english.is_empty() && !spanish.is_empty(), "{key}");
            assert_eq!(blanks(english), blanks(spanish), "{key}");
            assert!(TABLE[..index].iter().all(|row| row.0 != *key), "{key} is there twice");
            assert!(sources.contains(&format!("\"{key}\"")), "nobody asks for {key}");
        }
        for key in sources.split("say(\"").chain(sources.split("fill(\"")).skip(1) {
            let key = key.split('"').next().unwrap_or_default();
            if key.chars().all(|letter| letter.is_ascii_lowercase() || ".-".contains(letter)) {
                for language in Language::ALL {
                    assert_ne!(Words(language).say(key), "…", "{key} is asked for and not there");
                }
            }
        }
    }

    #[test]
    fn spans_and_lines() {
        assert_eq!([span(-1), span(1), span(65_000), span(3_661_000)], ["0:00", "0:01", "1:05", "1:01:01"]);
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("unbreakable", 3), ["unbreakable"]);
        assert!(wrap("", 10).is_empty());
    }
}
