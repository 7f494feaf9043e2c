//! What a label asks of its sheet.

use super::*;

fn labels() -> Labels {
    let label = Label {
        product: "Soft mix, vanilla".into(),
        lot: "V-0312-A".into(),
        discard_by: "19 Mar 06:00".into(),
        copies: 1,
        ..Label::default()
    };
    Labels { language: "en".into(), sheet: LabelSheet::default(), labels: vec![label] }
}

fn wrong(labels: &Labels) -> String {
    sheets(labels, Paper::A4).expect_err("it cannot be").to_string()
}

#[test]
fn measures_that_no_sheet_can_have_are_named() {
    let mut small = labels();
    small.sheet.label_mm = [10.0, 10.0];
    assert!(wrong(&small).contains("10 × 10 mm"));
    let mut used = labels();
    used.sheet.used = 10;
    assert_eq!(wrong(&used), "10 labels are used already, and a sheet has 10");
    let mut none = labels();
    none.labels[0].copies = 0;
    assert_eq!(wrong(&none), "there are no labels");
    none.labels[0].copies = usize::MAX;
    none.labels.push(none.labels[0].clone());
    assert!(wrong(&none).contains("more than the 5000"));
    let mut wordy = labels();
    wordy.labels[0].note = "word ".repeat(400);
    assert!(wrong(&wordy).contains("V-0312-A is too small"));
    let mut long = labels();
    long.labels[0].code = "x".repeat(700);
    assert!(matches!(sheets(&long, Paper::A4), Err(NoPaper::TooLongForQr(_))));
}

#[test]
fn the_same_labels_give_the_same_bytes() {
    assert_eq!(sheets(&labels(), Paper::Letter), sheets(&labels(), Paper::Letter));
    assert_eq!(single(&labels()), single(&labels()));
}
