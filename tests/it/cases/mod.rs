//! Things that go wrong on layouts, made small enough to try: each once as it was told, and a few of
//! its kind. That a host expects what is asserted here is common practice, no source.

mod customers;
mod early_train;
mod full_spur;
mod made_up;
mod make_up;
mod meets;
mod otherwise;
mod parts;
mod placards;
mod repair;
mod services;
mod sets;
mod shortage;
mod spreadsheets;
mod yard_limit;

use setout::audit::{Breach, audit};
use setout::diag::{Sources, render};
use setout::ids::{CarIx, Id, LaneIx, TrackIx};
use setout::layout::{self, Layout};
use setout::session::plan::{CarWork, Deed, OrderLine, OrderState, Plan, TripLine};
use setout::session::{self, Planned, Request};
use setout::standing::{Condition, Order, Standing};

/// A layout while a case is told: cars are put where the case has them, then sessions are planned.
struct Case {
    layout: Layout,
    standing: Standing,
}

impl Case {
    /// The layout of a description, every car on the shelf.
    fn of(text: &str) -> Self {
        let mut sources = Sources::default();
        sources.add("layout.toml", text);
        let (layout, faults) = layout::load(sources);
        let layout = layout.unwrap_or_else(|| panic!("{}", render::text(&faults, false)));
        let standing = Standing::shelved(&layout);
        Case { layout, standing }
    }

    /// The layout where it stands before its first session.
    fn begun(text: &str) -> Self {
        let mut case = Case::of(text);
        case.standing = session::first_standing(&case.layout, 1);
        case
    }

    fn car(&self, id: &str) -> CarIx {
        self.layout.cars().iter().find(|(_, car)| car.id.as_str() == id).expect("a car of the case").0
    }

    fn track(&self, id: &str) -> TrackIx {
        self.layout.tracks().iter().find(|(_, track)| track.id.as_str() == id).expect("a track of it").0
    }

    fn lane(&self, id: &str) -> LaneIx {
        self.layout.lanes().iter().find(|(_, lane)| lane.id.as_str() == id).expect("a lane of it").0
    }

    /// Puts a car at the east end of a track, at one of its spots or at none.
    fn put(&mut self, car: &str, track: &str, spot: Option<&str>) {
        let (car, track) = (self.car(car), self.track(track));
        let spots = &self.layout.tracks()[track].spots;
        let spot = spot.map(|name| {
            spots
                .iter()
                .copied()
                .find(|spot| &*self.layout.spots()[*spot].name == name)
                .expect("a spot of it")
        });
        self.standing.put(car, track, spot);
    }

    /// An order of a lane that waits for a car.
    fn order(&mut self, lane: &str, due: i32) -> Id {
        let lane = self.lane(lane);
        self.standing.due_so_far[lane] += 1;
        let number = self.standing.due_so_far[lane];
        let id = Id::from(format!("{}#{number}", self.layout.lanes()[lane].id));
        self.standing.orders.push(Order { id: id.clone(), lane, due, set: number, car: None });
        id
    }

    /// Gives a car a load of a lane, under way to its customer.
    fn load(&mut self, car: &str, lane: &str, due: i32) {
        let order = self.order(lane, due);
        let car = self.car(car);
        self.standing.orders.last_mut().unwrap().car = Some(car);
        let lading = self.layout.lanes()[self.lane(lane)].commodity;
        self.standing.car_mut(car).condition = Condition::Loaded { order, lading };
    }

    /// Gives a car a load of a lane that its customer is unloading, until so many sessions are over.
    fn unload(&mut self, car: &str, lane: &str, ready: i32) {
        self.load(car, lane, 0);
        let car = self.car(car);
        let state = self.standing.car_mut(car);
        if let Condition::Loaded { order, lading } = state.condition.clone() {
            state.condition = Condition::Unloading { order, lading, ready };
        }
    }

    /// Plans the next session, holds it against the audit, and lets it happen.
    fn session(&mut self) -> Plan {
        let request = Request { seed: 1, revision: 1 };
        let Planned { plan, after } = session::plan(&self.layout, &self.standing, &request);
        let breaches: Vec<String> = audit(&plan, &self.layout).iter().map(Breach::to_string).collect();
        assert!(breaches.is_empty(), "{}", breaches.join("\n"));
        self.standing = after;
        plan
    }

    /// The track and spot where a car stands.
    fn stands(&self, car: &str) -> (&str, Option<&str>) {
        let state = self.standing.car(self.car(car));
        let track = state.track().map_or("off the layout", |track| self.layout.tracks()[track].id.as_str());
        (track, state.spot().map(|spot| &*self.layout.spots()[spot].name))
    }
}

/// What a crew does with a car in a session: all its lines.
fn work<'p>(plan: &'p Plan, car: &str) -> Vec<&'p CarWork> {
    plan.work.iter().flat_map(|call| &call.cars).filter(|work| work.car.as_str() == car).collect()
}

/// The last thing a crew does with a car that is more than to take it along.
fn deed(plan: &Plan, car: &str) -> Option<Deed> {
    work(plan, car).iter().map(|work| work.deed).rfind(|deed| *deed != Deed::Pull)
}

fn trip<'p>(plan: &'p Plan, car: &str) -> &'p TripLine {
    plan.trips.iter().find(|trip| trip.car.as_str() == car).expect("the car has a trip")
}

fn orders(plan: &Plan, state: OrderState) -> Vec<&OrderLine> {
    plan.orders.iter().filter(|order| order.state == state).collect()
}

/// So many box cars of the home road, `CHT 1` and on.
fn box_cars(count: usize, length: &str) -> String {
    let car = |number| {
        format!("[[car]]\nmark = \"CHT\"\nnumber = \"{number}\"\ntype = \"XM\"\nlength = \"{length}\"\n")
    };
    (1..=count).map(car).collect()
}

/// A yard with a fiddle yard's tracks, a town to its east with a run-around, and a turn between them.
/// Lanes run out of season, so that only the orders of the case are there.
const BRANCH: &str = r#"
[layout]
name = "Branch"
scale = "HO"
days = { first = 1978-10-02, last = 1978-10-08 }
full = "100 %"
[railroad.CHT]
name = "Carrow Harbor Terminal"
home = true
beyond = "away"
[gateway.away]
name = "Away"
kind = "fiddle"
takes = "yard/out"
gives = "yard/in"
[place.yard]
name = "Yard"
railroad = "CHT"
track.in = { use = "staging", length = "600 scale ft", opens = "both" }
track.out = { use = "staging", length = "600 scale ft", opens = "both" }
track.loop = { use = "runaround", length = "600 scale ft", opens = "both" }
[place.town]
name = "Northgate"
railroad = "CHT"
track.loop = { use = "runaround", length = "600 scale ft", opens = "both" }
[[link]]
between = ["yard", "town"]
minutes = 4
[job.turn]
name = "Northgate Turn"
railroad = "CHT"
calls = ["yard", "town", "yard"]
power = "60 scale ft"
[commodity.flour]
cars = ["XM"]
"#;

/// A lane that runs out of season: no orders of it come due by themselves.
fn lane(id: &str, commodity: &str, from: &str, to: &str) -> String {
    format!(
        "[[lane]]\nid = \"{id}\"\ncommodity = \"{commodity}\"\nfrom = \"{from}\"\nto = \"{to}\"\n\
         carloads = \"1 a week\"\nseason = {{ first = \"01-01\", last = \"01-02\" }}\n"
    )
}
