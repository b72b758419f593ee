//! What stands on any day of the layout's calendar.

use crate::ids::{GatewayIx, IndustryIx, JobIx, LaneIx, LinkIx, TrackIx};
use crate::layout::check::draft::Draft;
use crate::layout::model::{Existence, LaneEnd, State};

impl Draft<'_> {
    /// Whether a part of the layout is there on any day of the layout's calendar.
    pub(in crate::layout::check) fn stands(&self, existence: Existence) -> bool {
        let days = self.layout.settings.days;
        existence.state == State::Built
            && existence.since.is_none_or(|since| since <= days.last)
            && existence.until.is_none_or(|until| days.first <= until)
    }

    /// Whether a track and its place are there.
    pub(in crate::layout::check) fn track_stands(&self, track: TrackIx) -> bool {
        let track = &self.layout.tracks[track];
        self.stands(track.existence) && self.stands(self.layout.places[track.place].existence)
    }

    /// Whether a link and both its places are there.
    pub(in crate::layout::check) fn link_stands(&self, link: LinkIx) -> bool {
        let link = &self.layout.links[link];
        self.stands(link.existence)
            && [link.west, link.east]
                .into_iter()
                .all(|place| self.stands(self.layout.places[place].existence))
    }

    /// Whether a job is there.
    pub(in crate::layout::check) fn job_stands(&self, job: JobIx) -> bool {
        self.stands(self.layout.jobs[job].existence)
    }

    /// Whether a customer and its place are there.
    pub(in crate::layout::check) fn industry_stands(&self, industry: IndustryIx) -> bool {
        let industry = &self.layout.industries[industry];
        self.stands(industry.existence) && self.stands(self.layout.places[industry.place].existence)
    }

    /// Whether a gateway is there.
    pub(in crate::layout::check) fn gateway_stands(&self, gateway: GatewayIx) -> bool {
        self.stands(self.layout.gateways[gateway].existence)
    }

    /// Whether a lane and both its ends are there.
    pub(in crate::layout::check) fn lane_stands(&self, lane: LaneIx) -> bool {
        let lane = &self.layout.lanes[lane];
        self.stands(lane.existence)
            && [lane.from, lane.to].into_iter().all(|end| match end {
                LaneEnd::Industry(industry) => self.industry_stands(industry),
                LaneEnd::Beyond(gateway, _) => self.gateway_stands(gateway),
            })
    }
}
