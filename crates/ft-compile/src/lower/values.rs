//! What the values of variables are called in the languages of the file: the author's own words where there are some,
//! ours for what the tool names itself.

use std::collections::BTreeMap;

use ft_form::{Var, Words};
use ft_machine::{Named, Statement};

use super::speak::text;
use super::vars::{Key, Scope, Vars, liquid_name};

/// What the tool names itself, in English and in Spanish.
const OURS: [(&str, &str); 21] = [
    ("fitted", "montado"),
    ("off", "fuera"),
    ("apart", "desarmado"),
    ("washed", "lavado"),
    ("rinsed", "enjuagado"),
    ("sanitised", "desinfectado"),
    ("in slot", "en su hueco"),
    ("lubricated", "lubricado"),
    ("missing", "perdido"),
    ("soiled", "sucio"),
    ("cleaned", "limpio"),
    ("connected", "conectado"),
    ("shut", "cerrado"),
    ("open", "abierto"),
    ("yes", "sí"),
    ("no", "no"),
    ("nothing", "nada"),
    ("water", "agua"),
    ("waste", "desecho"),
    ("not hung", "sin colgar"),
    ("not yet seen", "sin mirar todavía"),
];

/// The words of every value that has another word than its name. Parts come first: their states have the short keys,
/// and where another variable means something else by the same name, it has a key of its own.
pub fn words(scope: &Scope<'_>, vars: &Vars) -> BTreeMap<String, Words> {
    let mut all = BTreeMap::new();
    let mut keys: Vec<_> = vars.keys().collect();
    keys.sort_by_key(|(key, var)| (!matches!(key, Key::Part(..)), *var));
    for (key, var) in keys {
        let of = &vars.list[var];
        for name in &of.vals {
            let words = words_of(scope, vars, key, name);
            match all.get(name) {
                None if words.is_empty() => {}
                None => {
                    all.insert(name.clone(), words);
                }
                Some(known) if *known == words => {}
                Some(_) => {
                    all.insert(own_key(of, name), words);
                }
            }
        }
    }
    all
}

fn own_key(var: &Var, name: &str) -> String {
    format!("{}: {name}", var.name)
}

/// One value's words, without the languages in which it is called by its name.
fn words_of(scope: &Scope<'_>, vars: &Vars, key: Key, name: &str) -> Words {
    let machine = scope.machine;
    let named = |list: &[Named], language: &str| {
        list.iter().find(|value| value.name == name).map(|value| text(value, language).to_owned())
    };
    let say = |language: &str| -> Option<String> {
        let theirs = match key {
            Key::Switch(id, _) => named(&machine.switches[id].positions, language),
            Key::Fact(id, _) => named(&machine.facts[id].values, language),
            Key::Answer(step, _) => scope.procedure.steps[step].statements.iter().find_map(|statement| {
                let Statement::Look(_, findings) = statement else { return None };
                let finding = findings.iter().find(|finding| finding.named.name == name)?;
                Some(text(&finding.named, language).to_owned())
            }),
            Key::Contents(..) => {
                let liquid = vars.liquids.iter().find(|liquid| liquid_name(machine, **liquid, "") == name);
                liquid.map(|liquid| liquid_name(machine, *liquid, language))
            }
            _ => None,
        };
        theirs.or_else(|| ours(name, language))
    };
    let mut words = Words::new();
    for language in &machine.languages {
        if let Some(said) = say(language).filter(|said| said != name) {
            words.insert(language.clone(), said);
        }
    }
    words
}

fn ours(name: &str, language: &str) -> Option<String> {
    if language != "es" {
        return None;
    }
    OURS.iter().find(|(english, _)| *english == name).map(|(_, spanish)| (*spanish).to_owned())
}
