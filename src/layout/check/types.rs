//! The kinds of car: those of the AAR that are built in, and those of the layout.
//!
//! Codes and meanings follow lists of AAR mechanical designations: an Army manual (TM
//! 55-2200-002-12), registers of railway equipment of 1917-1999, a federal appeals decision of 1977
//! and writings of freight-car historians. A meaning marked `memory` could not be checked against
//! one of them, nor the one marked `forum` against more than a trade forum.
//!
//! Usual lengths are over couplers, weights in short tons. Lengths called sourced are from a
//! builder's or a railroad's sheet: 44.2 ft for a 40-ft box car, 55.4 ft for a 50-ft box, 57.8 ft
//! for a 52-ft mill gondola, 53.1 ft for a rotary coal gondola, 41.8 ft for a cement hopper, 95 ft
//! for an autorack. All other lengths, all light weights and the capacities are from memory; but for
//! heavy-duty flats, no car weighs more than 263,000 lb with its load, as was usual from the 1960s
//! on. A host who knows better says so in the roster or in `[type.CODE]`.

use std::collections::BTreeMap;

use super::ruler::Ruler;
use crate::ids::{IxVec, TypeIx};
use crate::layout::codes;
use crate::layout::model::CarType;
use crate::layout::read::{Name, SaidType};
use crate::layout::sink::{Sink, Wrong};
use crate::units::{Length, Tons};

/// Code, meaning, open, usual coupled length in scale inches, light weight and capacity in tons.
type Row = (&'static str, &'static str, bool, u32, u32, u32);

const OPEN: bool = true;
const CLOSED: bool = false;

/// The built-in kinds.
const BUILT_IN: &[Row] = &[
    // Box and other house cars. 44 ft 2.5 in and 55 ft 5 in: sourced.
    ("XM", "general-service box car", CLOSED, 531, 23, 50),
    ("XML", "box car with loading devices", CLOSED, 531, 24, 50), // memory
    ("XL", "box car with load-securing gear", CLOSED, 665, 32, 70),
    ("XP", "box car fitted for one commodity", CLOSED, 665, 32, 70),
    ("XF", "box car with a coated interior, for food", CLOSED, 665, 32, 70),
    ("XR", "box car with automobile racks", CLOSED, 665, 32, 50),
    ("XAR", "box car with automobile racks (older code)", CLOSED, 531, 25, 50), // memory
    ("XA", "automobile box car with wide or end doors", CLOSED, 531, 24, 50),   // memory
    ("XC", "box car in compartments with many side doors", CLOSED, 531, 25, 50),
    ("XI", "insulated general-service box car", CLOSED, 665, 32, 70), // memory
    ("XLI", "insulated box car with load-securing gear", CLOSED, 665, 34, 70), // memory
    ("XPI", "insulated box car fitted for one commodity", CLOSED, 665, 34, 70), // memory
    ("XT", "house car enclosing tanks", CLOSED, 531, 28, 40),
    ("BX", "express box car fit for passenger trains", CLOSED, 531, 25, 40),
    // Refrigerator and ventilator cars.
    ("RS", "ice-bunker refrigerator", CLOSED, 528, 28, 40), // memory
    ("RSM", "ice-bunker refrigerator with meat rails", CLOSED, 528, 28, 40), // memory
    ("RA", "brine-tank refrigerator", CLOSED, 528, 28, 40),
    ("RAM", "brine-tank refrigerator with meat rails", CLOSED, 528, 28, 40),
    ("RB", "insulated car without ice bunkers", CLOSED, 696, 35, 65),
    ("RBL", "insulated car with load-securing gear", CLOSED, 696, 36, 65), // memory
    ("RP", "mechanical refrigerator", CLOSED, 720, 42, 65),
    ("RPL", "mechanical refrigerator with load-securing gear", CLOSED, 720, 43, 65), // memory
    ("RPM", "mechanical refrigerator with meat rails", CLOSED, 720, 43, 65),         // memory
    ("RCD", "dry-ice refrigerator", CLOSED, 528, 28, 40),
    ("LRC", "dry-ice refrigerator", CLOSED, 528, 28, 40),
    ("VA", "insulated ventilated car for produce", CLOSED, 528, 26, 40), // memory
    ("VM", "ventilated car", CLOSED, 528, 25, 40),                       // memory
    // Gondolas. 57 ft 9.5 in and 53 ft 1 in: sourced.
    ("GA", "drop-bottom gondola", OPEN, 552, 23, 50),
    ("GB", "mill gondola", OPEN, 694, 30, 70),
    ("GBS", "mill gondola fitted for one commodity", OPEN, 694, 30, 70),
    ("GBR", "mill gondola with covers", CLOSED, 694, 33, 70), // memory
    ("GBSR", "covered gondola for one commodity", CLOSED, 694, 33, 70), // memory
    ("GD", "side-dump gondola", OPEN, 552, 24, 50),
    ("GE", "gondola with drop ends and bottom", OPEN, 552, 24, 50),
    ("GH", "gondola with drop ends, dumping outside", OPEN, 552, 24, 50),
    ("GS", "general-service gondola with drop bottom", OPEN, 552, 24, 50),
    ("GT", "high gondola for rotary dumping", OPEN, 637, 30, 100),
    ("GTS", "rotary gondola for one commodity", OPEN, 637, 30, 100), // memory
    ("GW", "well-hole gondola", OPEN, 694, 35, 70),                  // memory
    // Hoppers.
    ("HM", "two-bay hopper", OPEN, 432, 20, 50),
    ("HMA", "two-bay hopper with lengthwise doors", OPEN, 432, 20, 50),
    ("HT", "three-bay hopper", OPEN, 528, 25, 70),
    ("HTA", "three-bay hopper with lengthwise doors", OPEN, 528, 25, 70), // memory
    ("HTS", "three-bay hopper for one commodity", OPEN, 528, 25, 70),     // memory
    ("HFA", "hopper with divided bays", OPEN, 528, 26, 70),
    ("HK", "ballast hopper", OPEN, 528, 25, 70),
    ("HKS", "ballast hopper for one commodity", OPEN, 528, 25, 70),
    ("HD", "ballast hopper dumping outside", OPEN, 528, 25, 70),
    ("HE", "hopper that is not self-clearing", OPEN, 528, 25, 50),
    // Flat cars. 95 ft: sourced.
    ("FM", "flat car", OPEN, 684, 27, 60),
    ("FMS", "flat car fitted for one commodity", OPEN, 684, 28, 60),
    ("FA", "autorack", OPEN, 1140, 45, 35),
    ("FB", "bulkhead flat car (a barrel rack before 1961)", OPEN, 684, 32, 70),
    ("FBC", "centre-beam flat car", OPEN, 960, 31, 100),
    ("FBS", "bulkhead flat car for one commodity", OPEN, 684, 32, 70),
    ("FC", "flat car for trailers or containers", OPEN, 1140, 35, 70),
    ("FCA", "articulated car for trailers or containers", OPEN, 1140, 35, 70),
    ("FD", "depressed-centre flat car", OPEN, 684, 50, 100),
    ("FG", "gun flat car", OPEN, 684, 35, 100),
    ("FL", "logging car", OPEN, 552, 18, 40),
    ("FW", "well-hole flat car", OPEN, 684, 40, 70),
    // Covered hoppers and other special cars. 41 ft 10 in: sourced, for a modern cement car.
    ("LO", "covered hopper", CLOSED, 502, 26, 100),
    ("LP", "pulpwood rack car", OPEN, 552, 24, 50),
    ("LC", "house car with side doors and roof hatches", CLOSED, 531, 25, 50),
    ("LB", "house car with lower side doors", CLOSED, 531, 25, 50),
    ("LF", "container flat", OPEN, 552, 24, 50),
    ("LG", "container gondola", OPEN, 552, 24, 50),
    ("LU", "car whose whole side opens", CLOSED, 665, 32, 70),
    // Tank cars.
    ("T", "tank car", CLOSED, 612, 31, 100),        // forum
    ("TA", "acid tank car", CLOSED, 480, 25, 50),   // memory
    ("TL", "lined tank car", CLOSED, 552, 30, 100), // memory
    ("TM", "general-service tank car", CLOSED, 480, 25, 50),
    ("TMI", "insulated general-service tank car", CLOSED, 480, 28, 50),
    ("TP", "pressure tank car", CLOSED, 780, 45, 85),
    ("TPI", "insulated pressure tank car", CLOSED, 780, 47, 85),
    // Stock cars.
    ("SM", "stock car, single deck", CLOSED, 531, 23, 40), // memory
    ("SC", "stock car convertible to other use", CLOSED, 531, 23, 40), // memory
    ("SF", "stock car with a fixed double deck", CLOSED, 531, 24, 40), // memory
    // Cabooses and work cars: they carry nothing, but take up room.
    ("NE", "caboose", CLOSED, 468, 24, 1),
    ("NM", "four-wheel caboose", CLOSED, 360, 18, 1),
    ("MWB", "maintenance ballast car", OPEN, 528, 25, 50),
    ("MWT", "maintenance tool car", CLOSED, 531, 25, 20),
    ("MWW", "maintenance crane", OPEN, 528, 80, 1),
];

/// The codes and meanings of the built-in kinds.
pub fn built_in_kinds() -> impl Iterator<Item = (&'static str, &'static str)> {
    BUILT_IN.iter().map(|(code, meaning, ..)| (*code, *meaning))
}

/// The weights of a kind that the layout defines, if nothing is said.
const LIGHT: Tons = Tons::new(30);
const CAPACITY: Tons = Tons::new(50);

/// All kinds, by their codes.
#[derive(Debug)]
pub(super) struct Types {
    by_code: BTreeMap<Box<str>, TypeIx>,
    types: IxVec<TypeIx, CarType>,
}

impl Types {
    /// The built-in kinds, and the layout's own, which take the place of a built-in one.
    pub(super) fn new(own: &[SaidType], ruler: Ruler, sink: &mut Sink) -> Self {
        let mut by_code: BTreeMap<Box<str>, CarType> = BUILT_IN.iter().map(built_in).collect();
        let mut first: BTreeMap<&str, &Name> = BTreeMap::new();
        for said in own {
            if let Some(first) = first.get(&*said.id.value) {
                let wrong = Wrong::new(codes::SAME_ID, format!("a second type `{}`", said.id.value))
                    .help("give one of them another code, or take it away");
                sink.push(wrong.at(said.id.span).label(first.span, "the first is here"));
                continue;
            }
            first.insert(&said.id.value, &said.id);
            by_code.insert(said.id.value.clone(), of_layout(said, ruler, sink));
        }
        let mut types = IxVec::new();
        let by_code = by_code.into_iter().map(|(code, kind)| (code, types.push(kind))).collect();
        Types { by_code, types }
    }

    /// Looks a code up, and says so if there is none.
    pub(super) fn find(&self, name: &Name, sink: &mut Sink) -> Option<TypeIx> {
        let found = self.by_code.get(&name.value).copied();
        if found.is_none() {
            let wrong = Wrong::new(codes::UNKNOWN_NAME, format!("no type of car `{}`", name.value))
                .near(&name.value, self.by_code.keys().map(|code| &**code));
            let wrong = wrong.or_help(|| format!("use a code of the AAR, or define `[type.{}]`", name.value));
            sink.wrong(name.span, wrong);
        }
        found
    }

    /// A kind.
    pub(super) fn kind(&self, index: TypeIx) -> &CarType {
        &self.types[index]
    }

    /// The table for the layout.
    pub(super) fn into_types(self) -> IxVec<TypeIx, CarType> {
        self.types
    }
}

fn built_in(row: &Row) -> (Box<str>, CarType) {
    let (code, meaning, open, length, light, capacity) = *row;
    let kind = CarType {
        code: code.into(),
        meaning: meaning.into(),
        open,
        length: Length::scale_inches(length),
        light: Tons::new(light),
        capacity: Tons::new(capacity),
    };
    (code.into(), kind)
}

fn of_layout(said: &SaidType, ruler: Ruler, sink: &mut Sink) -> CarType {
    let length = said.length.as_ref().and_then(|length| {
        Ruler::prototype(length.value).map_err(|wrong| sink.wrong(length.span, wrong)).ok()
    });
    CarType {
        code: (&*said.id.value).into(),
        meaning: said.meaning.as_ref().map(|meaning| meaning.value.clone()).unwrap_or_default(),
        open: said.open.as_ref().is_some_and(|open| open.value),
        length: length.unwrap_or(ruler.car),
        light: said.light.as_ref().map_or(LIGHT, |light| light.value),
        capacity: said.capacity.as_ref().map_or(CAPACITY, |capacity| capacity.value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_forty_foot_box_car_has_its_published_coupled_length() {
        // Diagram data of 40-ft box cars of the late 1940s: 44 ft 2.5 in over pulling faces = 530.5 in, rounded up.
        let (_, kind) = built_in(&BUILT_IN[0]);
        assert_eq!((kind.code.as_str(), kind.length.whole_scale_inches()), ("XM", 531));
        // A Class I carrier's equipment table: a 50-ft box car is 55 ft 5 in = 665 in.
        let insulated = BUILT_IN.iter().find(|row| row.0 == "XL").map(built_in).unwrap();
        assert_eq!(insulated.1.length.whole_scale_inches(), 665);
    }

    #[test]
    fn every_code_stands_once() {
        let codes: std::collections::BTreeSet<&str> = BUILT_IN.iter().map(|row| row.0).collect();
        assert_eq!(codes.len(), BUILT_IN.len());
    }
}
