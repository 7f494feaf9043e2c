//! The signature at the end.

use ft_server::Tried;

use crate::console::Kind;
use crate::start::not_in;
use crate::talk::{Stop, Talk};
use crate::words::clock;

/// Asks for the PIN and signs, where nothing stands against it; whether it is signed now.
///
/// # Errors
/// [`Stop`].
pub fn sign(talk: &mut Talk<'_>) -> Result<bool, Stop> {
    let words = talk.words;
    let against = talk.seat.against(words.code());
    if !against.is_empty() {
        talk.note(words.say("sign.against"));
        talk.note_list(&against);
        return Ok(false);
    }
    let who = talk.seat.name().to_owned();
    let pin = talk.ask(&words.fill("sign.ask", &[("who", &who)]), Kind::Secret)?;
    if pin.is_empty() {
        talk.note(words.say("sign.not"));
        return Ok(false);
    }
    let now_ms = talk.console.now_ms();
    match talk.seat.sign(&pin, now_ms) {
        Ok(Tried::Right) => {
            let text = words.fill("sign.done", &[("who", &who), ("time", &clock(now_ms))]);
            talk.note(&text);
            return Ok(true);
        }
        Ok(no) => {
            let text = format!("{} {}", not_in(words, no, &who), words.say("sign.not"));
            talk.note(&text);
        }
        Err(problem) => talk.note_problem(&problem),
    }
    Ok(false)
}
