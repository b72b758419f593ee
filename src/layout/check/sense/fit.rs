//! Which sorts of car the roster has, and where each fits.

use std::collections::BTreeSet;

use crate::ids::{CommodityIx, IndustryIx, IxVec, LaneIx, TrackIx, TypeIx};
use crate::layout::check::draft::Draft;
use crate::layout::model::{Car, Grade, Lane, LaneEnd, Limits, LoadLook, SpotTarget};
use crate::units::{Length, Tons};

/// What two cars have in common that may do the same work: a roster of thousands has few of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Profile {
    kind: TypeIx,
    pub(super) length: Length,
    height: Option<Length>,
    light: Tons,
    capacity: Tons,
    grade: Grade,
    assigned: Option<IndustryIx>,
    fixed: Fixed,
}

/// Whether its load can be taken out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Fixed {
    Free,
    To(CommodityIx),
}

/// The length, height and weight of a car.
pub(super) type Passing = (Length, Option<Length>, Tons);

impl Profile {
    fn of(car: &Car) -> Self {
        let fixed = match &car.look {
            LoadLook::Fixed(load) => load.commodity.map_or(Fixed::Free, Fixed::To),
            LoadLook::Hidden | LoadLook::LiftsOut => Fixed::Free,
        };
        Profile {
            kind: car.kind,
            length: car.length,
            height: car.height,
            light: car.light,
            capacity: car.capacity,
            grade: car.grade,
            assigned: car.assigned,
            fixed,
        }
    }

    /// Whether such a car may carry what a lane carries.
    fn carries(&self, draft: &Draft<'_>, lane: &Lane) -> bool {
        let commodity = &draft.layout.commodities[lane.commodity];
        lane.kinds(&draft.layout.commodities).contains(&self.kind)
            && self.grade >= commodity.grade
            && self
                .assigned
                .is_none_or(|customer| [lane.from, lane.to].contains(&LaneEnd::Industry(customer)))
            && (self.fixed == Fixed::Free || self.fixed == Fixed::To(lane.commodity))
    }

    /// What such a car weighs with this load.
    fn loaded(&self, draft: &Draft<'_>, commodity: CommodityIx) -> Tons {
        self.light + draft.layout.commodities[commodity].tons.unwrap_or(self.capacity)
    }

    /// All that limits ask of such a car with this load.
    pub(super) fn passing(&self, draft: &Draft<'_>, commodity: CommodityIx) -> Passing {
        (self.length, self.height, self.loaded(draft, commodity))
    }

    /// Whether limits let such a car pass with this load.
    pub(super) fn passes(&self, draft: &Draft<'_>, limits: Limits, commodity: CommodityIx) -> bool {
        limits.car.is_none_or(|most| self.length <= most)
            && limits.height.is_none_or(|most| self.height.is_none_or(|height| height <= most))
            && limits.weight.is_none_or(|most| self.loaded(draft, commodity) <= most)
    }

    /// Whether such a car may stand on a track with this load.
    fn stands_on(&self, draft: &Draft<'_>, track: TrackIx, commodity: CommodityIx) -> bool {
        let described = &draft.layout.tracks[track];
        draft.track_stands(track)
            && self.length <= described.length
            && (described.holds.is_empty() || described.holds.contains(&self.kind))
            && self.passes(draft, described.limits, commodity)
            && self.passes(draft, draft.layout.places[described.place].limits, commodity)
    }

    /// Whether such a car fits a customer's spot.
    pub(super) fn fits(&self, draft: &Draft<'_>, target: SpotTarget, commodity: CommodityIx) -> bool {
        let room = match target {
            SpotTarget::Spot(spot) => draft.layout.spots[spot].length,
            SpotTarget::Track(_) => None,
        };
        room.is_none_or(|room| self.length <= room)
            && self.stands_on(draft, draft.layout.track_of(target), commodity)
    }
}

/// Where a lane is loaded, or unloaded: each is a track with a spot, if it has one.
pub(super) fn end_targets(draft: &Draft<'_>, lane: &Lane, end: LaneEnd, loads: bool) -> Vec<SpotTarget> {
    match end {
        LaneEnd::Industry(industry) => {
            let industry = &draft.layout.industries[industry];
            if loads { industry.loads_at(lane.commodity) } else { industry.unloads_at(lane.commodity) }
                .to_vec()
        }
        LaneEnd::Beyond(gateway, _) => {
            let gateway = &draft.layout.gateways[gateway];
            let tracks = if loads { &gateway.gives } else { &gateway.takes };
            tracks.iter().copied().map(SpotTarget::Track).collect()
        }
    }
}

/// For each lane that stands, the sorts of car on the roster that may carry its commodity.
pub(super) fn carriers(draft: &Draft<'_>) -> IxVec<LaneIx, Vec<Profile>> {
    let days = draft.layout.settings.days;
    let runs = |car: &&Car| {
        draft.stands(car.existence)
            && car.visits.one_in > 0
            && car.years.0.is_none_or(|first| first <= days.last.year())
            && car.years.1.is_none_or(|last| days.first.year() <= last)
    };
    let roster: BTreeSet<Profile> = draft.layout.cars.values().filter(runs).map(Profile::of).collect();
    let mut by_kind: IxVec<TypeIx, Vec<Profile>> = IxVec::filled(Vec::new(), draft.layout.types.len());
    for profile in roster {
        by_kind[profile.kind].push(profile);
    }
    let mut carriers = IxVec::new();
    for (index, lane) in draft.layout.lanes.iter() {
        let kinds = lane.kinds(&draft.layout.commodities);
        let profiles = kinds.iter().filter(|_| draft.lane_stands(index)).flat_map(|kind| &by_kind[*kind]);
        carriers.push(profiles.filter(|profile| profile.carries(draft, lane)).copied().collect());
    }
    carriers
}
