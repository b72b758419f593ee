//! Gateways: `[gateway.ID]`.

use super::{Existence, Span};
use crate::ids::{Id, RailroadIx, TrackIx};
use crate::units::Cars;

/// An edge of the modelled world.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gateway {
    /// Its id.
    pub id: Id,
    /// `name`.
    pub name: Box<str>,
    /// `kind`.
    pub kind: GatewayKind,
    /// `takes`: the tracks from which cars leave the layout, in order of preference.
    pub takes: Vec<TrackIx>,
    /// `gives`: the tracks on which cars come onto the layout, in order of preference.
    pub gives: Vec<TrackIx>,
    /// `beyond`: the cities and roads out there.
    pub beyond: Vec<Box<str>>,
    /// `railroad`: the road on the other side.
    pub railroad: Option<RailroadIx>,
    /// `back`: how long a car stays away.
    pub back: Span,
    /// `limit`: the most cars it gives in one session.
    pub limit: Option<Cars>,
    /// `note`: a line for the paper.
    pub note: Option<Box<str>>,
    /// `state`, `since`, `until`.
    pub existence: Existence,
}

/// How cars pass a gateway.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum GatewayKind {
    /// `"staging"`: trains stand made up.
    Staging,
    /// `"fiddle"`: cars are placed and lifted by hand.
    Fiddle,
    /// `"interchange"`: another road brings and takes them.
    Interchange,
}

impl GatewayKind {
    /// All kinds, with the words the description has for them.
    pub const WORDS: [(&'static str, GatewayKind); 3] = [
        ("staging", GatewayKind::Staging),
        ("fiddle", GatewayKind::Fiddle),
        ("interchange", GatewayKind::Interchange),
    ];
}
