//! The words of the forms that the host keeps.

use super::section::section;

section! {
    /// Words of the host's page.
    HostPage is "host-page", "Host's page" {
        say seed (seed) "seed {seed}";
        label know_first () "What to know first";
        say nothing_to_know () "Nothing out of the ordinary.";
        label head_from () "From";
        label head_to () "To";
        say with_person (number) "with {number}";
        label jobs () "Jobs";
        say jobs_note () "To move: cars that it takes, brings or puts elsewhere. On its list: these, and those that only stand there. Handlings: how often it couples cars or cuts them off.";
        label head_to_move () "To move";
        label head_met () "On its list";
        label head_handlings () "Handlings";
        label head_minutes () "Minutes";
        label head_longest () "Longest train";
        label meets () "Meets";
        label late () "Cars that stay or are late";
        say none_late () "Every car that has somewhere to go gets there.";
        label head_arrives () "Arrives";
        label head_why () "Why";
        say arrives_in (session) "session {session}";
        say arrival_open () "open";
        say one_late (car, load, bound) "{car}, {load}, bound for {bound}";
        label on_hand () "Cars kept beyond their free time";
        say on_hand_note () "Days on hand: the days that count since the car came to its customer. Days over: those beyond what is free.";
        label head_customer () "Customer";
        label head_since () "Since session";
        label head_days () "Days on hand";
        label head_over () "Days over";
        label kinds () "Cars asked for";
        say no_kinds () "No order asks for a car.";
        label head_kind () "Kind";
        label head_ordered () "Ordered";
        label head_filled () "Filled";
        label head_held () "Held";
        label head_unfilled () "Unfilled";
        say all_filled (kinds) "Filled: {kinds}.";
        say or_kind (kinds, kind) "{kinds} or {kind}";
        label orders () "Orders";
        say orders_note () "Due: the session in which the order came due, before: one before the first.";
        say no_orders () "No order is open.";
        label orders_waiting () "Waiting for a car";
        label orders_filled () "Filled: a car serves it";
        label orders_done () "Done";
        label orders_cancelled () "Cancelled";
        label head_due () "Due";
        label head_order () "Order";
        say order (lading, from, to) "{lading}: {from} to {to}";
        label due_before () "before";
        label gateways () "Gateways";
        say no_gateways () "The layout has no gateway.";
        say gateways_note () "Received and delivered: before this session / in all. Net: how many more came than went. Standing: on its tracks after this session; oldest: of these the one that stands there longest.";
        label head_gateway () "Gateway";
        label head_received () "Received";
        label head_delivered () "Delivered";
        label head_net () "Net";
        label head_standing () "Standing";
        label head_oldest () "Oldest";
        say since_before (car) "{car}, since before";
        say since_session (car, session) "{car}, session {session}";
        label tracks () "Tracks after the session";
        say tracks_note () "Taken: the length of the cars. Limit: how much should stand there at most, so that a crew can still switch; a track itself may be longer.";
        say no_tracks () "No car stands on a track.";
        say track (track, taken, limit) "{track}: {taken} of {limit}";
        say over_limit () "*over its working limit*";
        say yard (taken, limit) "all yard tracks together: {taken} of {limit}";
        say yard_over (taken, limit) "all yard tracks together: {taken} of {limit}*, over it*";
    }
}

section! {
    /// Words of the call board.
    CallBoard is "call-board", "Call board" {
        say line (minutes) "Every line is {minutes} minutes of the session, from left to right. Begin when all is done for which your list says Wait until, not by the clock.";
        say line_by_clock (minutes) "Every line is {minutes} minutes of the session, from left to right. Begin when all is done for which your list says Wait until, and no sooner than on duty by the layout's clock.";
        say minutes (job, from, to) "*{job}*: minute {from} to {to}";
        say minutes_with (job, from, to, number) "*{job}*: minute {from} to {to}, with person {number}";
        say in_order () "The jobs in the order in which they begin. A bar is the minutes of a job beside those of the longest.";
        say about (job, minutes) "*{job}*: about {minutes} minutes";
        say on_duty (time) "on duty {time}";
        say wait_all (jobs) "wait until all of this is done:~{jobs}";
        say wait_at (place, jobs) "wait until this is done at {place}:~{jobs}";
        say waits (minutes, place, call) "waits {minutes} at {place} before call~{call}";
        say light (engine, from, to) "first takes {engine} light from {from} to {to}";
        say crew (room) "Crew~{room}";
        say does_not_run (job, why) "Does not run: *{job}*. Why: {why}.";
    }
}

section! {
    /// Words of the set-up sheet.
    SetUp is "set-up", "Set-up before the session" {
        say intro () "Go from top to bottom and tick what is done: you can stop at any line and go on there later.";
        label take_off () "Take off the layout";
        say nothing_off () "Nothing to take off.";
        label loads () "Loads in open cars that stay on the layout";
        say no_loads () "No load to change.";
        label put_on () "Put on the layout";
        say nothing_on () "Nothing to put on.";
        label engines () "Engines";
        say no_engines () "No job runs.";
        label standing () "Every track when the session begins";
        say none_standing () "No car stands on a track.";
        say before_and_after (before, after) "Before, from west: {before}. After: {after}.";
        say out_by (track, gateway) "*{track}*, out by {gateway}";
        say in_by (track, gateway) "*{track}*, in by {gateway}: in this order from west";
        say in_by_east_of (track, gateway, car) "*{track}*, in by {gateway}: in this order from west, all east of {car}";
        say leave_empty () "*no load in it*";
        say put_in (lading) "*put in a load of {lading}*";
        say take_out (lading) "*take out the load of {lading}*";
        say at (place) "at {place}";
        label head_engine () "Engine";
        label an_engine () "an engine";
        say coupled_to (engine, jobs) "coupled to {engine}: {jobs}";
        say first_out (track) "*{track}*, from west: the first to leave is nearest the switch";
        say at_end (track, end) "*{track}*, at its {end} end, from west";
        say no_room (place) "*{place}*: no track is free until they leave; put each on when its job begins";
        say then_for (jobs, next) "{jobs}; then {next}";
        say track_from_west (track) "*{track}*, from west";
        label head_at () "At";
    }
}
