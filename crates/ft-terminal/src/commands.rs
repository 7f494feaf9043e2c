//! What can be typed while a step is shown.

use ft_pages::Language;

/// A command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Command {
    /// The step, or what was waited for, is done.
    Done,
    /// The last thing is taken back.
    Undo,
    /// It happened differently.
    Differently,
    /// Why this now, or why not yet.
    Why,
    /// What comes next.
    Next,
    /// Another step than the one that is shown.
    Else,
    /// The timers that run.
    Timers,
    /// Lets time pass until the next timer rings.
    Wait,
    /// The tray, slot by slot.
    Tray,
    /// A reading.
    Measure,
    /// The other language.
    Language,
    /// The signature at the end.
    Sign,
    /// What can be typed.
    Help,
    /// Quits; the night goes on later.
    Quit,
}

/// Key and word in English and in Spanish.
type Names = (char, &'static str);

/// Every command with its names.
const COMMANDS: [(Command, Names, Names); 14] = [
    (Command::Done, ('d', "done"), ('h', "hecho")),
    (Command::Undo, ('u', "undo"), ('b', "deshacer")),
    (Command::Differently, ('x', "differently"), ('x', "diferente")),
    (Command::Why, ('w', "why"), ('p', "por qué")),
    (Command::Next, ('n', "next"), ('s', "siguiente")),
    (Command::Else, ('e', "else"), ('o', "otro")),
    (Command::Timers, ('c', "timers"), ('c', "relojes")),
    (Command::Wait, ('z', "wait"), ('z', "esperar")),
    (Command::Tray, ('t', "tray"), ('j', "bandeja")),
    (Command::Measure, ('m', "measure"), ('m', "medir")),
    (Command::Language, ('l', "language"), ('i', "idioma")),
    (Command::Sign, ('s', "sign"), ('f', "firmar")),
    (Command::Help, ('?', "help"), ('?', "ayuda")),
    (Command::Quit, ('q', "quit"), ('q', "salir")),
];

impl Command {
    /// Reads a command: its word in either language, or its key in the language that is shown.
    pub fn read(text: &str, language: Language) -> Option<Self> {
        let typed = text.trim().to_lowercase();
        let plain = typed.replace('é', "e");
        let is = |(_, english, spanish): &&(Self, Names, Names)| {
            let key = match language {
                Language::English => english.0,
                Language::Spanish => spanish.0,
            };
            let mut letters = typed.chars();
            (letters.next() == Some(key) && letters.next().is_none())
                || plain == english.1
                || plain == spanish.1.replace('é', "e")
        };
        COMMANDS.iter().find(is).map(|(command, ..)| *command)
    }

    /// Its key and its word.
    pub fn names(self, language: Language) -> Names {
        let row = COMMANDS.iter().find(|(command, ..)| *command == self);
        let (_, english, spanish) = row.expect("every command has its names");
        match language {
            Language::English => *english,
            Language::Spanish => *spanish,
        }
    }

    /// Every command, in the order in which they are told.
    pub fn all() -> impl Iterator<Item = Self> {
        COMMANDS.iter().map(|(command, ..)| *command)
    }
}

#[cfg(test)]
mod tests {
    use super::{COMMANDS, Command};
    use ft_pages::Language;

    #[test]
    fn each_name_means_one_command() {
        for language in Language::ALL {
            for (command, english, spanish) in COMMANDS {
                assert_eq!(Command::read(english.1, language), Some(command));
                assert_eq!(Command::read(&spanish.1.to_uppercase(), language), Some(command));
                let key = command.names(language).0.to_string();
                assert_eq!(Command::read(&key, language), Some(command), "{key}");
            }
            assert_eq!(Command::read("por que", language), Some(Command::Why));
            for no in ["", "7", "donee", "hh", "\u{fffd}"] {
                assert_eq!(Command::read(no, language), None, "{no}");
            }
        }
    }
}
