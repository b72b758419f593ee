//! Whether a layout without errors also makes sense: one function a rule, in the order in which they run.
//!
//! Only what stands on some day of the layout's calendar is spoken of: what is planned or out of
//! service may be as incomplete as it is.

use super::draft::Draft;
use crate::layout::sink::Sink;

/// A rule reads the draft, and tells what makes no sense.
type Rule = fn(&Draft<'_>, &mut Sink);

/// The rules, by priority: a lower number runs first.
const RULES: [(u32, Rule); 0] = [];

/// Runs all rules.
pub(super) fn run(draft: &Draft<'_>, sink: &mut Sink) {
    debug_assert!(RULES.is_sorted_by_key(|(priority, _)| *priority));
    for (_, rule) in RULES {
        rule(draft, sink);
    }
}
