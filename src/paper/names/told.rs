//! What the plan says in sentences, in the words of the table.

use super::Names;
use crate::paper::phrase::Phrase;
use crate::paper::words::Part;
use crate::said::{self, Said};
use crate::session::plan::OrderLine;

impl Names<'_> {
    /// A saying of the plan; nothing if the table does not have it: then the plan's own words do.
    pub(in crate::paper) fn say(&self, said: &Said) -> Option<Phrase> {
        let mut parts: Vec<Part<'_>> = said.with.iter().map(|part| self.part(part)).collect::<Option<_>>()?;
        self.words.reasons.say(&said.say, &mut parts)
    }

    /// A saying of the plan, or its own words.
    pub(in crate::paper) fn said(&self, told: Option<&Said>, text: &str) -> Phrase {
        told.and_then(|told| self.say(told)).unwrap_or_else(|| Phrase::words(text))
    }

    /// Why an order waits, or was cancelled.
    pub(in crate::paper) fn why(&self, order: &OrderLine) -> Phrase {
        let said = order.told.as_ref().and_then(|told| self.say(told));
        said.unwrap_or_else(|| Phrase::of(self.told(&order.why)))
    }

    fn part<'p>(&'p self, part: &'p said::Part) -> Option<Part<'p>> {
        Some(match part {
            said::Part::Number(number) => number.to_string().into(),
            said::Part::Text(text) => (&**text).into(),
            said::Part::Said(said) => self.say(said)?.into(),
            said::Part::Track { track } => self.track_name(track).into_owned().into(),
            said::Part::Length { inches } => (*inches).into(),
            said::Part::Order { order } => match self.orders.get(order) {
                Some(line) => self.order(line).into(),
                None => order.as_str().into(),
            },
        })
    }
}
