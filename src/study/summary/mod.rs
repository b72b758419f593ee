//! The page that `setout check` shows of a sound layout.
//!
//! A host reads it to see whether the description says what the layout is: room and cars on every
//! track, who serves which customer, whether the spots can turn what the lanes ask for, whether the
//! roster has the cars. [`summary`] gathers it as data, [`text()`] lays it out at 80 columns.
//!
//! Cost: linear in the description, but for the ways between places, which only a program asks
//! for: one search for each pair.

mod cars;
mod customers;
mod lanes;
mod missing;
mod text;
mod tracks;
mod ways;

use serde::Serialize;

use crate::ids::Id;
use crate::layout::Layout;
use crate::network::Network;
use crate::standing::Standing;
use crate::units::Date;

pub use cars::TypeLine;
pub use customers::CustomerLine;
pub use lanes::LaneLine;
pub use missing::Missing;
pub use text::text;
pub use tracks::{PlaceLine, TrackLine};
pub use ways::{WayLine, ways};

/// What a layout holds on the day of its next session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Summary {
    /// The layout's name.
    pub layout: Box<str>,
    /// Its scale, as a ratio.
    pub scale: Box<str>,
    /// Whether lengths are shown in metres.
    pub metric: bool,
    /// The next session.
    pub session: i32,
    /// Its day in the layout's calendar.
    pub date: Date,
    /// The first and the last day that sessions walk through.
    pub days: (Date, Date),
    /// Whether cars have been placed: before the first plan nobody knows where they stand.
    pub placed: bool,
    /// The railroads.
    pub railroads: Vec<RailroadLine>,
    /// The places that are there, with their tracks.
    pub places: Vec<PlaceLine>,
    /// The customers that are there.
    pub customers: Vec<CustomerLine>,
    /// The lanes that run.
    pub lanes: Vec<LaneLine>,
    /// The kinds of car on the roster, or wanted by a lane.
    pub cars: Vec<TypeLine>,
    /// What is described but not there on this day.
    pub missing: Missing,
}

/// A railroad.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RailroadLine {
    /// Its id.
    pub id: Id,
    /// Its name.
    pub name: Box<str>,
    /// Whether it is the host's own.
    pub home: bool,
}

/// Gathers the page: from the standing before the next session, if there is one.
pub fn summary(layout: &Layout, standing: Option<&Standing>) -> Summary {
    let settings = layout.settings();
    let session = standing.map_or(0, |standing| standing.session) + 1;
    let date = settings.days.of_session(session);
    let network = Network::new(layout, date);
    let railroads = layout.railroads().values();
    Summary {
        layout: settings.name.clone(),
        scale: settings.scale.to_string().into(),
        metric: settings.metric,
        session,
        date,
        days: (settings.days.first, settings.days.last),
        placed: standing.is_some(),
        railroads: railroads
            .map(|road| RailroadLine { id: road.id.clone(), name: road.name.clone(), home: road.home })
            .collect(),
        places: tracks::places(&network, standing),
        customers: customers::customers(&network),
        lanes: lanes::lanes(layout, date),
        cars: cars::types(layout, standing, date),
        missing: missing::missing(layout, date),
    }
}
