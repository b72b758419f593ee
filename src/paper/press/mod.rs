//! The press: lays sheets out by templates.
//!
//! Every form is a template over the values that `docs/forms.md` lists: the sheet, its parts as
//! they are laid out, the words, the plan. The built-in templates are `forms/page.txt` and
//! `forms/page.html`; a host's own template replaces them for one form (`switch-list.html`) or
//! for all (`page.html`). An unknown name is a fault with its file and line. Templates are
//! compiled once a run.

mod ascii;
mod fault;
mod look;
mod style;
mod values;

use minijinja::syntax::SyntaxConfig;
use minijinja::value::Value;
use minijinja::{AutoEscape, Environment, UndefinedBehavior};

use crate::diag::{Diagnostics, FileIx, Sources};
use crate::layout::Layout;
use crate::session::plan::Plan;

use super::sheet::Sheet;
use super::words::{self, Words};
use super::{html, text};
pub use look::{Look, Size};
use values::Beside;

/// The built-in templates.
const BUILT_IN: [(&str, &str); 2] =
    [("page.txt", include_str!("../forms/page.txt")), ("page.html", include_str!("../forms/page.html"))];

/// In what a sheet is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// For a screen or a plain printer.
    Text,
    /// For a browser and its printer.
    Html,
}

impl Format {
    /// How the names of its files end.
    pub const fn ending(self) -> &'static str {
        match self {
            Format::Text => "txt",
            Format::Html => "html",
        }
    }
}

/// Compiled templates, and how pages are to look.
#[derive(Debug)]
pub struct Press {
    templates: Environment<'static>,
    look: Look,
    words: Words,
    sources: Sources,
    /// The host's templates, by the names of their files.
    own: Vec<(String, FileIx)>,
    /// What a host's template may ask for besides the sheet.
    beside: Option<Beside>,
}

impl Press {
    /// A press with the built-in templates.
    pub fn built_in(look: Look) -> Self {
        let mut templates = environment(look);
        for (name, text) in BUILT_IN {
            templates.add_template(name, text).expect("the built-in templates are tested");
        }
        Press {
            templates,
            look,
            words: Words::default(),
            sources: Sources::default(),
            own: Vec::new(),
            beside: None,
        }
    }

    /// A press with the host's templates besides: files named after a form, `page`, or with a `_`
    /// first for parts that other templates include; and with the host's words.
    ///
    /// # Errors
    /// The faults of templates that do not parse, of files that no form has the name of, and of words.
    pub fn with(look: Look, own: Sources, plan: &Plan, layout: &Layout) -> Result<Self, Diagnostics> {
        let mut press = Press::built_in(look);
        press.words = Words::read(&own)?;
        let mut faults = Vec::new();
        for (file, source) in own.iter() {
            let name = source.name.rsplit('/').next().unwrap_or_default().to_owned();
            if name == words::FILE {
                continue;
            }
            faults.extend(fault::unknown_name(file, source, &name));
            if let Err(problem) = press.templates.add_template_owned(name.clone(), source.text.to_string()) {
                faults.push(fault::of(&problem, file, source));
            }
            press.own.push((name, file));
        }
        press.sources = own;
        if faults.is_empty() {
            if !press.own.is_empty() {
                press.beside = Some(Beside::new(plan, layout));
            }
            return Ok(press);
        }
        Err(fault::gathered(press.sources, faults))
    }

    /// The words in which it prints.
    pub fn words(&self) -> &Words {
        &self.words
    }

    /// The sheet laid out.
    ///
    /// # Errors
    /// The fault of a host's template that asks for a name there is not.
    pub fn lay(&self, sheet: &Sheet, format: Format) -> Result<String, Diagnostics> {
        let plain;
        let sheet = if self.look.ascii && format == Format::Text {
            plain = ascii::sheet(sheet.clone());
            &plain
        } else {
            sheet
        };
        let (name, file) = self.template(sheet, format);
        let values = values::of(
            sheet,
            self.parts(sheet, format),
            format,
            self.look,
            &self.words,
            self.beside.as_ref(),
        );
        let laid = self.templates.get_template(&name).and_then(|template| template.render(values));
        match (laid, file) {
            (Ok(laid), _) if format == Format::Text => Ok(text::finished(&laid)),
            (Ok(laid), _) => Ok(laid),
            (Err(problem), Some(file)) => {
                let file = fault::file_of(&problem, &self.own).unwrap_or(file);
                let faults = vec![fault::of(&problem, file, self.sources.file(file))];
                Err(fault::gathered(self.sources.clone(), faults))
            }
            (Err(problem), None) => unreachable!("a built-in template is at fault: {problem:#}"),
        }
    }

    /// Everything that the template of a sheet may use, as data.
    pub fn values(&self, sheet: &Sheet, plan: &Plan, layout: &Layout) -> serde_json::Value {
        let own;
        let beside = if let Some(beside) = &self.beside {
            beside
        } else {
            own = Beside::new(plan, layout);
            &own
        };
        let parts = self.parts(sheet, Format::Text);
        serde_json::to_value(values::of(sheet, parts, Format::Text, self.look, &self.words, Some(beside)))
            .unwrap_or_default()
    }

    fn parts(&self, sheet: &Sheet, format: Format) -> Vec<String> {
        match format {
            Format::Text => text::parts(sheet, self.look.columns),
            Format::Html => html::parts(sheet, self.look, &self.words),
        }
    }

    /// The template for a sheet: the host's for the form, the host's for all, the built-in one.
    fn template(&self, sheet: &Sheet, format: Format) -> (String, Option<FileIx>) {
        let file = |name: &str| self.own.iter().find(|(own, _)| own == name).map(|(_, file)| *file);
        let (own, all) = (format!("{}.{}", sheet.form, format.ending()), format!("page.{}", format.ending()));
        let place = file(&own);
        if place.is_some() {
            return (own, place);
        }
        let place = file(&all);
        (all, place)
    }
}

/// An empty set of templates with the functions that they may use.
fn environment(look: Look) -> Environment<'static> {
    let width = look.columns;
    let mut templates = Environment::new();
    templates.set_undefined_behavior(UndefinedBehavior::Strict);
    let syntax =
        SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).keep_trailing_newline(true).build();
    templates.set_syntax(syntax.expect("the usual delimiters do not contradict each other"));
    templates.set_auto_escape_callback(|name| {
        if std::path::Path::new(name).extension().is_some_and(|ending| ending == "html") {
            AutoEscape::Html
        } else {
            AutoEscape::None
        }
    });
    templates.add_function("rule", move |sign: String| sign.repeat(width));
    templates.add_function("sides", move |left: String, right: String| {
        text::sides(&left, &right, width).join("\n")
    });
    templates.add_filter("wrapped", move |words: String, indent: Option<usize>| {
        text::hung(&words, indent.unwrap_or(0), width).join("\n")
    });
    templates.add_filter("wide", |words: Value, room: usize| text::filled(&words.to_string(), room, false));
    templates.add_filter("right", |words: Value, room: usize| text::filled(&words.to_string(), room, true));
    templates
}

#[cfg(test)]
mod tests;
