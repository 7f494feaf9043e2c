//! Any text is read as a machine or kitchen; whatever has no error is compiled, every procedure and variant of it.
//!
//! Places lie in the text, a form that comes out has a meaning, and its exchange format gives it back.

#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let (file, problems) = ft_compile::read(text);
    for problem in &problems {
        assert!(problem.span.start <= problem.span.end && problem.span.end <= text.len(), "{problem:?}");
    }
    if ft_compile::has_errors(&problems) {
        return;
    }
    for procedure in 0..file.procedures.len() {
        for variant in ft_compile::variants(&file, procedure) {
            let Ok(lowered) = ft_compile::compile(&file, procedure, &variant, 2) else { continue };
            assert_eq!(lowered.form.problems(), Vec::<String>::new());
            let printed = ft_form::json::print(&lowered.form);
            let again = ft_form::json::parse(&printed).expect("what is printed can be read");
            assert_eq!(printed, ft_form::json::print(&again));
        }
    }
});
