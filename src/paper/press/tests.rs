//! Tests of the press: faults of templates are told with file and line.

use super::*;
use crate::diag::render;
use crate::paper::phrase::Phrase;
use crate::paper::sheet::{Block, When};

fn sheet() -> Sheet {
    Sheet {
        name: "switch-list-x".to_owned(),
        form: "switch-list",
        job: None,
        kind: "Switch list".into(),
        title: "Mill <Turn>".to_owned(),
        whose: "Trial".to_owned(),
        when: When { before: "Monday".to_owned(), ..When::default() },
        foot: String::new(),
        measure: Words::default().measure(false),
        blocks: vec![
            Block::Say(Phrase::of("first")),
            Block::heading("2. Alder Yard"),
            Block::Say(Phrase::of("second")),
        ],
    }
}

fn press(name: &str, text: &str) -> Result<Press, Diagnostics> {
    let mut own = Sources::default();
    own.add(format!("forms/{name}"), text);
    let mut press = Press::built_in(Look::default());
    press.sources = own.clone();
    for (file, source) in own.iter() {
        if let Err(problem) = press.templates.add_template_owned(name.to_owned(), text.to_owned()) {
            return Err(fault::gathered(own.clone(), vec![fault::of(&problem, file, source)]));
        }
        press.own.push((name.to_owned(), file));
    }
    Ok(press)
}

#[test]
fn a_form_of_the_host_takes_the_place_of_the_built_in_one() {
    let own = "{{ sheet.title }}{% for part in parts %}|{{ part.name }}{% endfor %}";
    let text = press("switch-list.txt", own).unwrap();
    assert_eq!(text.lay(&sheet(), Format::Text).unwrap(), "Mill <Turn>|head|2-alder-yard\n");
    let page = press("page.html", own).unwrap();
    assert_eq!(page.lay(&sheet(), Format::Html).unwrap(), "Mill &lt;Turn&gt;|head|2-alder-yard");
}

#[test]
fn an_unknown_name_is_told_with_its_line() {
    let press = press("switch-list.txt", "first line\n{{ sheet.titel }}\n").unwrap();
    let faults = press.lay(&sheet(), Format::Text).unwrap_err();
    let told = render::text(&faults, false);
    assert!(told.contains("form-broken") && told.contains("forms/switch-list.txt:2"), "{told}");
}

#[test]
fn a_template_that_does_not_parse_is_told_with_its_line() {
    let faults = press("switch-list.txt", "a\nb\n{% for x in %}\n").unwrap_err();
    let told = render::text(&faults, false);
    assert!(told.contains("forms/switch-list.txt:3"), "{told}");
}

#[test]
fn a_name_that_no_form_has_is_told_with_the_near_miss() {
    let mut own = Sources::default();
    let file = own.add("forms/swich-list.txt", "x");
    let fault = fault::unknown_name(file, own.file(file), "swich-list.txt").unwrap();
    assert_eq!(fault.help.as_deref(), Some("a form with a similar name exists: `switch-list`"));
    assert!(fault::unknown_name(file, own.file(file), "_head.txt").is_none());
}
