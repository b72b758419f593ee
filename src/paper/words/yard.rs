//! The words of the forms for yards, trains, customers and gateways.

use super::section::section;

section! {
    /// Words of yard sheets.
    YardSheets is "yard-sheets", "Yard sheets" {
        say none () "No place has a yard track.";
        say on_hand (count, taken, limit) "On hand when the session begins: {count} on all yard tracks, {taken} of a working limit of {limit}.";
        say job_by_job () "job by job";
        say no_event () "No car comes onto its yard tracks or leaves them.";
        label head_brings () "Brings";
        label head_takes () "Takes";
        label head_moves () "Moves";
        label head_on_hand () "On hand";
        say event (job, call) "{job}, call~{call}";
        say over_limit () "*over the limit*";
        say goes (cars) "*goes:* {cars}";
        say comes (cars) "*comes:* {cars}";
        say moves (cars) "*moves:* {cars}";
        say between (from, to) "from {from} to {to}";
        say taken_from (track) "from {track}";
        say put_to (track) "to {track}";
        say onto (track, cars) "{track}: {cars}";
        say onto_end (track, end, cars) "{track}, {end} end: {cars}";
        say then_stands (track, cars) "*then stands* {track}, from west: {cars}";
        say tracks_after (place) "{place}: yard tracks after the session";
        say ready (place) "{place}: blocks to have ready";
        label head_for () "For";
        say outwards (job) "*{job}*, from the engine";
        say tracks (place) "{place}: yard tracks at the start";
        say west_first () "from west";
        label head_standing () "How they stand";
    }
}

section! {
    /// Words of the sheet of trains.
    MakeUp is "make-up", "Make-up of trains" {
        say intro () "Each train from the engine outwards: number 1 is coupled to the engine. Cars of one block are left together.";
        say none () "No train carries cars.";
        say call (number) "call {number}";
        say block (place, track, count) "*For {place}, {track}* ({count})";
        say placard (placard, from_engine, from_end) "{placard}: {from_engine} from the engine, {from_end} from the end";
        say leaves (job, place) "From {place}: {job}";
        count call_and_cars (call) "call {call}, {count} car" or "call {call}, {count} cars";
    }
}

section! {
    /// Words of the customers' sheet.
    Customers is "customers", "Customers" {
        say none () "No customer has a car or an order.";
        label standing () "Standing before the session";
        label coming () "Due in this session";
        label later () "On their way, for a later session";
        say later_in (session, at) "expected in session {session}; stands at {at} after this one";
        say later_open (at) "not in this session; stands at {at} after it";
        label waiting () "Waiting for a car";
        label head_what () "What";
        say order (lading, from, to) "{lading} from {from} to {to}";
        label released_loaded () "loaded: released";
        label released_empty () "empty: released";
        label loads () "not released, loading";
        label unloads () "not released, unloading";
        label kept () "empty: kept to be loaded again";
        label waits () "waits for its spot";
        say by (job, at) "{at}; by {job}";
        say leaves (job, bound) "*leaves by {job}*: {bound}";
        say moved_here (job, at) "*moved by {job}* to {at}";
        say stays () "stays tonight";
    }
}

section! {
    /// Words of the interchange report.
    Interchange is "interchange", "Interchange report" {
        label totals () "Totals";
        label received () "Received before the session";
        label delivered () "Delivered before the session";
        say none () "None.";
        label by_whom () "By whom";
        label between () "Between the railroads of the layout";
        say stood () "stood here before";
        say set_by (job) "set by {job}";
        say taken_by (job) "taken by {job}";
        say left () "stands here after";
        say same_road (railroad) "*stays with {railroad}*";
        count brought () "set here {count} car" or "set here {count} cars";
        count fetched () "took {count} car" or "took {count} cars";
        say road (railroad, did) "{railroad}: {did}";
    }
}
