//! The table of sayings: a line for each becomes a function that says it. One that nobody says is a warning of the
//! compiler.

use super::{Entry, Given, Worded, worded};

macro_rules! sayings {
    ($( $say:ident ($($part:ident),*) $english:literal; )*) => {
        /// All sayings, with their parts in the order of the English text.
        pub(crate) const TABLE: &[Entry] = &[
            $( Entry { say: stringify!($say), parts: &[$(stringify!($part)),*], english: $english }, )*
        ];

        $(
            pub(crate) fn $say($($part: impl Into<Given>),*) -> Worded {
                worded(stringify!($say), $english, vec![$($part.into()),*])
            }
        )*
    };
}

sayings! {
    // Why a car goes.
    to_load (lading, order) "to load {lading} (order {order})";
    carries (lading, order) "{lading} (order {order})";
    on_the_way (service) "{service} on the way";
    cleaned_first () "to be cleaned first";
    bad_order () "bad order";
    bad_order_loaded (order) "bad order, to be repaired under its load (order {order}) before it goes on";
    no_order () "empty, no order wants it";
    no_way_home () "empty, no order wants it and it has no way home";

    // Why it goes no further.
    put_aside (why) "put aside, others wait for its spot: {why}";
    put_near (why) "put near its spot: {why}";
    stays (why) "stays tonight: {why}";
    no_further (why) "gets no further tonight: {why}";
    all_jobs (why) "waits for a session in which all jobs run: {why}";
    never (why) "nothing takes it there within three sessions: {why}";
    no_goal () "nothing on the layout does what it goes for";
    shut (customer) "{customer} is shut today";
    one_car (customer) "{customer} takes no more than 1 car a session";
    several_cars (customer, count) "{customer} takes no more than {count} cars a session";
    in_turn (customer, car, session) "{customer} takes cars in turn, and {car} waits since session {session}";
    train_full (job) "no room in the train of {job}";
    too_large (place) "it is too long, high or heavy to go to {place}";
    no_time (job) "no time for it in this session with {job}";
    not_switched (place, job, why) "at {place} it cannot be switched by {job}: {why}";
    no_room_for (spot) "{spot} has no room for it when its train comes";
    taken (spot, car) "{spot} is taken by {car}";
    no_room_beside (spot, car) "{spot} has no room beside {car}";
    full (spot, car, more) "{spot} is full: {car} and {more} more";
    loading (car, session) "{car}, being loaded until session {session}";
    unloading (car, session) "{car}, being unloaded until session {session}";
    no_job () "no job goes on with it";
    too_late (place, job, session) "it comes to {place} too late for {job}, and goes on with it in session {session}";
    goes_on (place, session, job) "it goes on from {place} in session {session} with {job}";

    // What stops a movement.
    wrong_end (track) "the crew cannot get at the open end of {track}";
    not_its (track) "the job may not switch {track}";
    behind (track) "cars on {track} stand in the way";
    no_room (track) "{track} has no room for it";
    lead_west () "the cut does not fit the west lead";
    lead_east () "the cut does not fit the east lead";
    no_parking () "no track there takes the cars that stand in the way for a moment";
    no_way_round () "no track there lets the engine round the car";
    no_run_around () "the engine cannot get round its cars there";
    no_place_to_ride (car) "{car} has placards and no place in the train where it may ride";
    not_reached (car) "the crew cannot get at {car}";

    // What a car without a trip is there for.
    in_loading (session) "being loaded until session {session}";
    in_unloading (session) "being unloaded until session {session}";
    not_finished (what) "not finished, {what}";
    in_repair (session) "in repair until session {session}";
    bad_order_waits () "bad order, waits here";
    waits () "waits here";
    there () "is where it is bound";
}
