//! The words that all forms share.

use super::section::section;

section! {
    /// Words of all forms.
    Shared is "shared", "All forms" {
        label language () "en";
        say when (day, session, plan) "{day}, session {session}, plan~{plan}";
        say changed (plan) "{plan}, changed";
        say changed_at (plan, time) "{plan}, changed {time}";
        say page_of (page, pages) "page {page} of {pages}";
        say foot (title, form) "{title}, {form}";
        label tick () "done";
        label continued () "continued";
        say day (weekday, day, month, year) "{weekday} {day} {month} {year}";
        label monday () "Monday";
        label tuesday () "Tuesday";
        label wednesday () "Wednesday";
        label thursday () "Thursday";
        label friday () "Friday";
        label saturday () "Saturday";
        label sunday () "Sunday";
        label january () "January";
        label february () "February";
        label march () "March";
        label april () "April";
        label may () "May";
        label june () "June";
        label july () "July";
        label august () "August";
        label september () "September";
        label october () "October";
        label november () "November";
        label december () "December";
        label west () "west";
        label east () "east";
        say in_timetable (end, timetable) "{end} (timetable~{timetable})";
        label pull () "pull";
        label spot () "spot";
        label set_out () "set out";
        label off_spot () "off spot";
        label hold () "hold";
        label leave () "leave";
        label weigh () "weigh";
        label ice () "ice";
        label clean () "clean";
        label inspect () "inspect";
        label repair () "repair";
        say loaded (lading) "*L* {lading}";
        say empty () "*E*";
        label engine () "engine";
        label caboose () "caboose";
        say shove () "*SHOVE, the engine is behind*";
        count shove_ahead () "*SHOVE, {count}~car is ahead of the engine*" or "*SHOVE, {count}~cars are ahead of the engine*";
        unit feet () "{count} ft" or "{count} ft";
        unit metres () "{count} m";
        label decimal () ".";
        unit tons () "{count} ton" or "{count} tons";
        unit tonnes () "{count} t" or "{count} t";
        unit cars () "{count} car" or "{count} cars";
        say about (minutes) "about {minutes}";
        say of_its_time (minutes) "{minutes} of the job's time";
        count minutes () "{count}~min" or "{count}~min";
        say list (names, last) "{names} and {last}";
        say track_numbered (name) "track {name}";
        say track_named (name) "{name} track";
        say city_by (city, gateway) "{city} by {gateway}";
        say home_by (gateway) "home by way of {gateway}";
        say shop_by (gateway) "its owner's shop, by way of {gateway}";
        say order (number, lading, from, to) "no. {number}, {lading}: {from} to {to}";
        say clear () "clear";
        say placarded (group) "*PLACARDED, group {group}*";
        say residue (lading, group) "*RESIDUE of {lading}, placarded, group {group}*";
        say bad_order () "*BAD ORDER*";
        say bad_order_for (bound) "*BAD ORDER, for {bound}*";
        say bad_order_next (bound, job) "*BAD ORDER, for {bound}: {job} takes it on*";
        say bad_order_later (bound) "*BAD ORDER, for {bound}: it goes on in a later session*";
        say service_at (service, track) "*{service} it at {track}*";
        say load_fixed () "its load is fixed";
        say load_in () "its load must be in";
        say load_out () "its load must be out";
        say person (number) "person {number}";
        say no_job () "No job.";
        label head_number () "No";
        label head_car () "Car";
        label head_load () "Load";
        label head_what () "What it is";
        label head_where () "Where";
        label head_track () "Track";
        label head_cars () "Cars";
        label head_taken () "Taken";
        label head_limit () "Limit";
        label head_length () "Length";
        label head_job () "Job";
        label head_do () "Do";
        say short_numbers () "A car is named here by the end of its number, which no other car that you can meet has; with its mark where the number alone would not do.";
        say caution () "This paper is for a model railroad. Real work with placarded cars follows the regulations and the carrier's own rules.";
    }
}

section! {
    /// What the forms are called.
    Forms is "forms", "What each form is called, as within a sentence; on top it gets a capital letter" {
        label host_page () "host's page";
        label call_board () "call board";
        label set_up () "set-up";
        label yard_sheets () "yard sheets";
        label make_up () "make-up of trains";
        label customers () "customers";
        label interchange () "interchange report";
        label car_cards () "car cards";
        label switch_list () "switch list";
        label moves () "moves";
    }
}

section! {
    /// Words at drawings of tracks.
    Drawing is "drawing", "The drawing of tracks" {
        say caption (place, left, right) "{place} as you face it: {left} on the left, {right} on the right. An arrow is an end with a switch.";
        say past (track, others) "{track}, past it {others}";
    }
}
