//! Kinds of lading: `[commodity.ID]`.

use serde::{Deserialize, Serialize};

use crate::ids::{Id, TypeIx};
use crate::units::Tons;

/// A kind of lading, and what it asks of a car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Commodity {
    /// Its id.
    pub id: Id,
    /// `name`: what the paper calls it; the id, if nothing is said.
    pub name: Box<str>,
    /// `cars`: the kinds of car that carry it, first choice first.
    pub cars: Vec<TypeIx>,
    /// `grade`: the least grade of car that will do; any, if nothing is said.
    pub grade: Grade,
    /// `clean`: wants a clean car.
    pub clean: bool,
    /// `soils`: leaves a dirty one.
    pub soils: bool,
    /// `placard`: the placard group, 1 to 4.
    pub placard: Option<u32>,
    /// `tons`: the weight of a carload; the car's own capacity, if nothing is said.
    pub tons: Option<Tons>,
    /// `perishable`: goes first.
    pub perishable: bool,
    /// `shifts`: could stick out past the ends of an open car.
    pub shifts: bool,
    /// `stcc`: its number in the Standard Transportation Commodity Code.
    pub stcc: Option<Box<str>>,
}

/// The grade of a car: what it is still fit for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Grade {
    /// `"rough"`: scrap and the like.
    Rough,
    /// `"fair"`: most freight (nothing said).
    #[default]
    Fair,
    /// `"clean"`: food and paper.
    Clean,
}

impl Grade {
    /// All grades, with the words the description has for them.
    pub const WORDS: [(&'static str, Grade); 3] =
        [("rough", Grade::Rough), ("fair", Grade::Fair), ("clean", Grade::Clean)];
}
