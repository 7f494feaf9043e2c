//! Any bytes: decoded or explained, read without panic, every place within the text.
#![no_main]

use ft_syntax::{decode, parse};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = match decode(bytes) {
        Ok(text) => text,
        Err(bad) => {
            assert!(bad.shown.get(bad.problem.span.clone()).is_some(), "the place lies in what is shown");
            return;
        }
    };
    let parsed = parse(text);
    assert!(parsed.problems.len() <= ft_diag::MOST_TOLD + 1, "a person can read the problems");
    for problem in &parsed.problems {
        assert!(text.get(problem.span.clone()).is_some(), "the place of {problem:?} lies in the text");
        if let Some((span, _)) = &problem.also {
            assert!(text.get(span.clone()).is_some(), "the second place of {problem:?} lies in the text");
        }
    }
});
