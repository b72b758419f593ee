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
    and_then (first, next) "{first}; {next}";

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
    no_room_at_spots (track, car) "the spots of {track} that would do have no room beside {car}";
    spots_full (track, car, more) "the spots of {track} that would do are taken: {car}, and {more} more";
    full (spot, car, more) "{spot} is full: {car}, and {more} more";
    loading (car, session) "{car}, being loaded until session {session}";
    unloading (car, session) "{car}, being unloaded until session {session}";
    no_job () "no job goes on with it";
    too_late (place, job, session) "it comes to {place} too late for {job}, and goes on with it in session {session}";
    too_late_for_last (place, last, session, job) "it comes to {place} too late for {last}, and goes on in session {session} with {job}";
    not_sorted (place, missed, session, job) "at {place} nothing sorts it to a track of {missed} before that leaves, and it goes on in session {session} with {job}";
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

    // Why an order has no car.
    or_kind (kinds, kind) "{kinds} or {kind}";
    no_kind (kinds) "no car of kind {kinds} is on the roster";
    one_serves_another () "the one car that would do serves a more urgent order";
    all_serve_others (count) "all {count} cars that would do serve more urgent orders";
    none_free (count, kinds, why) "no car free of {count} of kind {kinds}: {why}";
    and_also (first, next) "{first}, {next}";
    in_use (count) "{count} in use or bad order";
    unfit (count) "{count} not fit for it";
    elsewhere (count) "{count} on the layout, where the load does not begin";
    away (count) "{count} away and not yet back, or without room at the gateway";
    gives_no_more (gateway) "{gateway} gives no more cars tonight";
    no_room_at_gateway (car, gateway) "no room for {car} at {gateway}";
    waits_for_its_set (count) "waits for the rest of its set of {count} cars, which goes together";
    enough (count, room) "{count} cars are at its spots or under way to them, which hold {room}: no more are sent";
    waited_too_long (count) "waited {count} sessions for a car; the lane lets an order wait no longer";

    // Where yards run out of room.
    one_car_there () "one car";
    so_many_cars (count) "{count} cars";
    list_and (first, last) "{first} and {last}";
    and_then_first (first, next) "{first} and then {next}";
    starting (job) "{job} (starting)";
    coming_back (job) "{job} (coming back)";
    at_its_call (job, call) "{job} (call {call})";
    at_place (tracks, place) "{tracks} at {place}";
    no_room_to_wait () "no room to wait";
    yard_full_when (yard, when) "no room at {yard} when {when}";
    yard_full_for (yard, call) "no room at {yard} for what {call} brings";
    comes_to_much (call, cars, length, limit, more) "{call} comes: {cars}, {length}, on {limit} of track, {more} too many";
    most_when (first, most) "{first}; the most when {most}";
    no_order_helps (what) "{what}; no other order of the jobs helps";
    goes_ahead (what, call, before, counts) "{what}; it works if {call} goes before {before}: {counts}";
    go_ahead (what, calls, before, counts) "{what}; it works if {calls} go before {before}: {counts}";
    in_this_order (what, calls, counts) "{what}; it works in this order: {calls}: {counts}";
    if_times_change (what) "{what}, if the times on duty are changed";
    one_cannot_come (why) "one car cannot come as it should: {why}";
    cannot_come (count, why) "{count} cars cannot come as they should: {why}";
    begins_full (place, limit, cars, more) "{place} is beyond its working limit of {limit} before the first job: {cars}, {more} too many";
    passes_limit (place, when) "{place} passes its working limit when {when}";
    stands_when (track, most, limit, call) "{track} ({most}, limit {limit}) when {call} works there";
    stands_at_first (track, most, limit) "{track} ({most}, limit {limit}) from the start";
    one_fuller (place, track) "{place} has a track that stands fuller than its working limit: {track}; the track is longer, so that all fits, with little room left to switch in";
    some_fuller (place, tracks) "{place} has tracks that stand fuller than their working limits: {tracks}; the tracks are longer, so that all fits, with little room left to switch in";

    // Where trains meet.
    track_at (track, place) "{track} at {place}";
    no_siding (one, other) "{one}, with {other}: they come past no siding in opposite directions";
    neither_fits (one, other, siding, room, first, second) "{one}, with {other}: they cannot meet, neither fits a siding; the longest, {siding}, holds {room}, and they are {first} and {second}";
    meet_at (siding, room, takes, length, holds, other) "meet at {siding}: on the siding of {room} {takes} ({length}), on the main {holds} ({other})";
    siding_too_short (meet, job) "{meet}; no siding where they could meet is long enough for {job}";

    // Why a job does not run.
    left_out () "the host leaves it out";
    too_few_people () "there are not enough people for it";
    too_short () "there is no time for it in this session";
    no_car_waits () "no car waits for it in so short a session";

    // What the host should know before anybody starts.
    does_not_run (job, why) "{job}: does not run, {why}";
    all_done_one (hours, usual) "all jobs would be done after {hours} hours with one person, and no sooner with more; the layout's session has {usual}. `setout plan --crew N` makes one that fits N people and the hours";
    all_done (hours, people, usual) "all jobs would be done after {hours} hours with {people} people, and no sooner with more; the layout's session has {usual}. `setout plan --crew N` makes one that fits N people and the hours";
    ends_late (job, minute, minutes) "{job}: ends at minute {minute}, the session has {minutes} minutes";
    little_for_one (minutes, hours) "one person has {minutes} minutes of work in {hours}";
    little_for_all (people, minutes, hours) "{people} people have, on average, {minutes} minutes of work in {hours}";
    keeps_busy (little, people) "{little}; it would keep {people} busy";
    no_time_for (job, cars) "{job}: no time tonight for {cars}";
    light_for_good (job) "{job}: runs with no cars, nothing is there for it, and nothing comes for it tonight";
    light_till_one (job, session) "{job}: runs with no cars tonight; one car for it will be there in session {session}";
    light_till_some (job, cars, session) "{job}: runs with no cars tonight; {cars} cars for it will be there in session {session}";
    not_done (customer, car, session) "{customer} is not done with {car}: it is held at its spot until session {session}";
    found_bad (car) "{car} was found a bad order when it was empty";
    refused_bad (car, order) "{car} was refused for loading as a bad order; {order} wants another car";
    came_bad (car) "{car} came in as a bad order and is repaired under its load";
    repaired_here (what) "{what}; the car is to be repaired here";
    goes_to_its_shop (what) "{what}; the car goes home to its owner's shop";
    overfull_spot (spot, track) "more stands at {spot} of {track} than it takes: nothing is added";
    overfull_track (track, length, room) "{track} holds {length} of cars, more than its {room}: nothing is added";
    not_in_service (car, track) "{car} stands on {track}, which is not in service";
    order_waits (order, session, why) "order {order} waits since session {session}: {why}";
    short_train (car) "{car} stays: its train is too short for cars with placards; other cars that ride between it and the engine would help, or `nearest_short = 1` under `[placards]`";
    short_trains (cars) "{cars} stay: their trains are too short for cars with placards; other cars that ride between them and the engine would help, or `nearest_short = 1` under `[placards]`";
    pool_here (kinds, session, needed, back, cure) "the {kinds} pool on the layout runs out in session {session}: {needed} needed a week, {back} come back; {cure}";
    pool_beyond (kinds, session, needed, back, cure) "the {kinds} pool beyond runs out in session {session}: {needed} needed a week, {back} come back; {cure}";
    add_cars () "add cars of this kind, or ask for fewer carloads";
    add_cars_or_use_shelf () "add cars of this kind, or let the shelf be used, or ask for fewer carloads";
    yards_fill (session, more, room) "cars without a way home fill the yards in session {session}: about {more} more a week, room for {room}; give them a home gateway that is there, or loads";
    wait_for_jobs (cars) "until all jobs run again: {cars}";
    of_car (car, why) "{car}: {why}";

    // What a change of the layout did to cars and orders.
    no_place_left (car, from) "{car} was at {from}, and no other place holds it: take it off the layout";
    no_gateway_left (car, from) "{car} was beyond {from}, which the layout no longer has, and no other gateway is its home: it is on the shelf now";
    its_order_waits (what, order) "{what}; order {order} waits for another car";
    put_as_no_room (car, from, to) "{car} was at {from}, which no longer holds it: put it at {to}";
    put_as_gone (car, from, to) "{car} was at {from}, which the layout no longer has: put it at {to}";
    now_beyond (car, from, to) "{car} was beyond {from}, which the layout no longer has: it is beyond {to} now";
    not_on_roster (car, from) "{car} stood at {from} and is no longer in the roster: take it off the layout";
    lane_gone (order, lane) "order {order} is cancelled, as the layout no longer has its lane `{lane}`";
    fixed_to_shelf (what, car) "{what}; put {car} with its fixed load on the shelf";
    load_to_take_out (what, car) "{what}; {car} is empty now: take its load out";
    free_again (what, car) "{what}; {car} is free for another order";
    idle_for (car, at, count) "{car} on {at} for {count} sessions";

    // What a car without a trip is there for.
    in_loading (session) "being loaded until session {session}";
    in_unloading (session) "being unloaded until session {session}";
    not_finished (what) "not finished, {what}";
    in_repair (session) "in repair until session {session}";
    bad_order_waits () "bad order, waits here";
    waits () "waits here";
    there () "is where it is bound";
}
