//! The one program. Not finished: the commands come with the crates that they need.

fn main() {
    println!("fulltray: nothing to run yet");
}
