//! The spots of all tracks, and how a customer names them.

use std::collections::BTreeMap;

use super::{Context, told};
use crate::ids::{Id, IxVec, PlaceIx, SpotIx, TrackIx};
use crate::layout::check::former;
use crate::layout::check::names::Names;
use crate::layout::check::ruler::Ruler;
use crate::layout::codes;
use crate::layout::model::{FormerIds, Spot, SpotTarget};
use crate::layout::read::{Name, SaidSpot};
use crate::layout::sink::{Sink, Wrong, near_miss};
use crate::units::Cars;

/// The spots in order of their tracks, from west to east.
#[derive(Debug)]
pub(in crate::layout::check) struct Spots<'a> {
    pub(in crate::layout::check) built: IxVec<SpotIx, Spot>,
    pub(in crate::layout::check) said: IxVec<SpotIx, &'a SaidSpot>,
    by_name: BTreeMap<(TrackIx, &'a str), SpotIx>,
    by_track: IxVec<TrackIx, Vec<SpotIx>>,
    pub(in crate::layout::check) former: FormerIds<SpotIx>,
}

impl<'a> Spots<'a> {
    /// Gathers the spots of all tracks.
    pub(in crate::layout::check) fn new(names: &Names<'a>, ruler: Ruler, sink: &mut Sink) -> Self {
        let mut spots = Spots {
            built: IxVec::new(),
            said: IxVec::new(),
            by_name: BTreeMap::new(),
            by_track: IxVec::new(),
            former: FormerIds::new(),
        };
        for (track, track_said) in names.tracks.iter() {
            let mut of_track = Vec::new();
            for said in &track_said.spots {
                if let Some(first) = spots.by_name.get(&(track, &*said.name.value)) {
                    let wrong = Wrong::new(
                        codes::SAME_ID,
                        format!("a second spot `{}` on this track", said.name.value),
                    )
                    .help("give one of them another name");
                    sink.push(
                        wrong.at(said.name.span).label(spots.said[*first].name.span, "the first is here"),
                    );
                    continue;
                }
                let length =
                    said.length.as_ref().and_then(|length| told(ruler.room(length.value), length, sink));
                let index = spots.built.push(Spot {
                    id: Id::new(format!("{}/{}", track_said.id.value, said.name.value)),
                    name: said.name.value.clone(),
                    track,
                    length,
                    cars: said.cars.as_ref().map_or(Some(Cars::new(1)), |cars| cars.value),
                });
                spots.said.push(said);
                spots.by_name.insert((track, &said.name.value), index);
                of_track.push(index);
            }
            let was = of_track.iter().flat_map(|spot| {
                let said: &SaidSpot = spots.said[*spot];
                said.was.iter().map(|was| (was, *spot))
            });
            let was: Vec<(&Name, SpotIx)> = was.collect();
            let today = |name: &str| spots.by_name.get(&(track, name)).copied();
            let former = former::ids("spot", &was, today, sink);
            spots.former.extend(former);
            spots.by_track.push(of_track);
        }
        spots
    }

    /// The spots of a track.
    pub(super) fn of_track(&self, track: TrackIx) -> &[SpotIx] {
        &self.by_track[track]
    }

    /// What `track/spot`, `track`, `place/track/spot` or `place/track` means for a customer of a place.
    pub(super) fn target(
        &self,
        context: &Context<'_, '_>,
        place: PlaceIx,
        name: &Name,
        sink: &mut Sink,
    ) -> Option<SpotTarget> {
        let tracks = &context.names.tracks;
        let here = &context.names.places.said(place).id.value;
        let parts: Vec<&str> = name.value.split('/').map(str::trim).collect();
        let at_home = tracks.get(&format!("{here}/{}", parts[0]));
        let (track, spot) = match (&parts[..], at_home) {
            ([_], Some(track)) => (track, None),
            ([_, spot], Some(track)) => (track, Some(*spot)),
            ([place, track], None) => (Spots::track(context, &format!("{place}/{track}"), name, sink)?, None),
            ([place, track, spot], _) => {
                (Spots::track(context, &format!("{place}/{track}"), name, sink)?, Some(*spot))
            }
            _ => {
                Spots::unknown(context, &format!("{here}/{}", parts[0]), name, sink);
                return None;
            }
        };
        match spot {
            Some(spot) => self.spot(context, track, spot, name, sink).map(SpotTarget::Spot),
            None if self.of_track(track).is_empty() => Some(SpotTarget::Track(track)),
            None => {
                let first = &self.said[self.of_track(track)[0]].name;
                let wrong =
                    Wrong::new(codes::TRACK_HAS_SPOTS, format!("`{}` has spots: say which", name.value))
                        .help(format!("such as `{}/{}`", name.value, first.value));
                sink.push(wrong.at(name.span).label(first.span, "its first spot"));
                None
            }
        }
    }

    fn track(context: &Context<'_, '_>, id: &str, name: &Name, sink: &mut Sink) -> Option<TrackIx> {
        let found = context.names.tracks.get(id);
        if found.is_none() {
            Spots::unknown(context, id, name, sink);
        }
        found
    }

    /// No such track: the near miss is said the way the host wrote it.
    fn unknown(context: &Context<'_, '_>, id: &str, name: &Name, sink: &mut Sink) {
        let tracks = context.names.tracks.ids();
        let message = format!("no track `{}`", id.trim_end_matches('/'));
        sink.wrong(name.span, Wrong::new(codes::UNKNOWN_NAME, message).near(id, tracks));
    }

    fn spot(
        &self,
        context: &Context<'_, '_>,
        track: TrackIx,
        spot: &str,
        name: &Name,
        sink: &mut Sink,
    ) -> Option<SpotIx> {
        let found = self.by_name.get(&(track, spot)).copied();
        // A track with a fault in it may have lost the spot to that fault.
        if found.is_none() && context.names.tracks.sound(track) {
            let known = || self.of_track(track).iter().map(|spot| &*self.built[*spot].name);
            let on = &context.names.tracks.said(track).id.value;
            let wrong = Wrong::new(codes::UNKNOWN_NAME, format!("no spot `{spot}` on track `{on}`"));
            let wrong = match near_miss(spot, known()) {
                Some(near) => wrong.help(format!("did you mean `{near}`?")),
                None if known().next().is_none() => {
                    wrong.help("the track has no spots: name the track alone")
                }
                None => wrong.help(format!("its spots are `{}`", known().collect::<Vec<_>>().join("`, `"))),
            };
            sink.wrong(name.span, wrong);
        }
        found
    }
}
