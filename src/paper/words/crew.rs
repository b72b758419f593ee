//! The words of the forms that crews carry.

use super::section::section;

section! {
    /// Words of switch lists.
    SwitchList is "switch-list", "Switch lists" {
        label engineer () "Engineer";
        label conductor () "Conductor";
        label engine () "Engine";
        say engine_alone (engine, length) "{engine}, {length}";
        say take_light (from, to) "*take it light from {from} to {to}*";
        say take_light_after (light, job) "{light}*, after: {job}*";
        say taken_light (engine, job) "Leave {engine} here; the crew of {job} comes for it.";
        say taken_over (engine, job) "Leave {engine} here; {job} has it next.";
        say engine_kept (engine, job) "Keep {engine}: you take it on to {job}.";
        say engine_and_caboose (engine, length) "{engine} with a caboose, together {length}";
        label limits () "Limits";
        say limit_of_length (length) "{length} with the engine";
        say limit_of_weight (tons) "{tons} without the engine";
        say at_most (limits) "at most {limits}";
        say no_limits () "none given";
        label begins () "Begins";
        say begins_at (place) "at {place}";
        say begins_at_time (time, place) "{time} at {place}";
        say begins_not_before (time, place) "not before {time} by the layout's clock, at {place}";
        label wait_until () "Wait until";
        say all_of_it (jobs) "*all of this is done*: {jobs}";
        say work_at (jobs, place) "*this is done at {place}*: {jobs}";
        say begins_light (begins, place) "{begins}, to fetch the engine; your first call is {place}";
        say goes_first (job) "{job} begins at the same end of this place at the same time: you go first";
        say goes_second (job) "{job} begins at the same end of this place at the same time: it goes first";
        say leaves_going (direction) "it first leaves going {direction}";
        label calls () "Calls";
        say calls_in_turn (calls, next) "{calls}, then {next}";
        label time () "Time";
        say takes (time) "about {time}";
        say of_it_running (running) "{running} of it running";
        say and_waiting (waits) "plus waiting: {waits}";
        say waits_at (minutes, place, call) "{minutes} at {place} before call~{call}";
        say waits_for (minutes, place, call, jobs) "{minutes} at {place} before call~{call}, for {jobs}";
        say takes_unknown () "not known";
        say between_minutes (from, to) "minute {from} to {to} of the session";
        label directions () "Directions";
        say sides (left, right) "{left} is on your left as you face the layout, {right} on your right";
        say timetable_reversed (railroad, west) "in the timetable of {railroad} it is the other way round: west is {west}";
        label meet () "Meet";
        label note () "Note";
        say nothing_to_work () "*No car to work in this session.*";
        say key (deed, meaning) "{deed}: {meaning}.";
        label key_pull () "take it into your train";
        label key_spot () "put it at the place named";
        label key_set_out () "put it there for another job";
        label key_off_spot () "its spot is full: put it where named";
        label key_hold () "if you must move it, put it back as it was";
        label key_leave () "do not touch it";
        say key_due () "*Due*: by the layout's clock, when your train should be there.";
        say key_rest () "Cars are listed from west to east. *L* is loaded, *E* is empty.";
        say first_train (place) "The train when it first leaves {place}";
        say train_order () "from west, 1 at the engine";
        say first_train_empty () "The engine alone.";
        say first_train_caboose () "The engine with its caboose.";
        label head_leave_at () "Leave it at";
        say made_up (blocks) "Make-up from the engine: {blocks}.";
        say block (count, place, track) "{count} for {place}, {track}";
        say placarded_in_train (group, car, number) "PLACARDED, group {group}: {car}, number {number} from the engine";
        say job_at_call (job, call) "{job} (its call {call})";
        say job_at_call_why (job, call, why) "{job} (its call {call}: {why})";
        say job_why (job, why) "{job} ({why})";
        say leaves_for_you (cars) "it leaves {cars} for you";
        count leaves_so_many_for_you () "it leaves {count} car for you" or "it leaves {count} cars for you";
        say clears_for_you (tracks) "it takes cars from {tracks}, where you leave some";
        say works_first (tracks) "it works {tracks} before you";
        say wait_here (jobs) "*WAIT: do not come in before this is done here: {jobs}*";
        say nothing_here () "No car to work here.";
        say ends_here () "The job ends here, with no cars left at the engine.";
        say caboose_left (end) "Caboose: leave it at the {end} end, clear of the switches.";
        say caboose_left_clear () "Caboose: leave it clear of the switches.";
        say caboose_last (end) "Before you go, shove your cars against your caboose at the {end} end.";
        say caboose_to_engine () "When your cars are done, bring the engine to your caboose, and couple it.";
        say caboose_comes_first (end) "Your caboose comes in first: cut it off and leave it at the {end} end of this place, clear of the switches.";
        say caboose_aside (track) "As you come in, cut off your caboose on {track}, which stays clear; before you go, shove your cars against it there.";
        say caboose_round (end, track, other) "Leave your caboose on the line at the {end} end, clear of your work; before you go, take it by way of {track} round your cars to their {other} end.";
        say caboose_by_hand (end, other) "Leave your caboose on the line at the {end} end, clear of your work. No clear track leads round your cars here: before you go, lift it by hand to their {other} end.";
        say ends_here_caboose () "Your caboose stays with the engine.";
        say staying () "*In your train, and staying in it*";
        say opens_west () "switch at its west end";
        say opens_east () "switch at its east end";
        say opens_both () "switches at both ends";
        say track (track) "*{track}*, from west";
        say set_aside () "Clear when you come: set cars aside here while you work.";
        say set_aside_on_main () "Clear when you come: set cars aside here only for a moment, while no train is coming, and fetch them again.";
        say comes_clear () "Clear when you come: its cars come from other tracks of this call.";
        say on_duty (time) "on duty {time}";
        say due (time) "due {time}";
        say drawn_at (call) "Its tracks are drawn at call {call}.";
        say when_done (cars) "When you are done, from west: {cars}";
        say bound (bound) "for {bound}";
        say goes_home (gateway) "goes home by way of {gateway}";
        say made_up_for (job) "made up for {job}";
        say comes_from (from) "from {from}";
        say goes_between (from, to) "from {from} to {to}";
        say goes_to (to) "to {to}";
        say in_train () "in your train";
        say go (direction, place, train) "*Go {direction} to {place}*: {train}";
        say go_by_way (direction, place, through, train) "*Go {direction} to {place}* by way of {through}: {train}";
        say train_alone (length) "the engine alone, {length}.";
        say caboose_alone (length) "the engine with its caboose, {length}.";
        say train (cars, length, tons, order) "{cars}, {length} with the engine, {tons} without it. From west: {order}.";
        say keep_order () "Keep this order: it is right for the cars with placards.";
        label count_work () "Count your work";
        label head_call () "Call";
        label head_in_train () "In train";
        say all_calls () "*All calls*";
        label different () "What was different";
        say not_listed () "A car that is not on this list: leave it where it is, and write its number and track here. Work you could not do: leave the car, and write why.";
    }
}

section! {
    /// Words of the sheets of moves.
    Moves is "moves", "Moves, one by one" {
        say intro () "One way to do the work of the switch list that is known to fit. Another that leaves every car where the list says is as good. Ends and rows are in the layout's own west and east; an end is where the engine works. Now: how many cars are on the engine once the move is made.";
        label head_at () "At";
        label head_now () "Now";
        label head_cars () "Cars, from west";
        say comes_with (cars) "You come with, from west: {cars}.";
        say on_engine (cars) "On the engine now, from west: {cars}.";
        say nothing_here () "No car to handle here.";
        say take_light (engine, from, to) "{engine} alone from {from} to {to}";
        say take_light_with_caboose (engine, from, to) "{engine} with its caboose from {from} to {to}";
        label light () "light";
        say end_of (end, track) "{end} end of {track}";
        say run_round () "*RUN ROUND*";
        say to_end (end) "to the {end} end";
        say engine_alone () "engine alone";
        say engine_and_caboose () "engine and caboose";
        say engine_alone_by (track) "engine alone, by way of {track}";
        label running_track () "running track";
        say key_running () "Running track: the line itself where it passes the tracks of a place. Every place has one, no car stays on it, and it is not drawn.";
        say caboose () "*CABOOSE*";
        say at_end (end) "{end} end";
        say caboose_waits () "it waits by itself: leave it there, clear of the switches";
        say caboose_coupled () "cut it off the engine, and leave it there, clear of the switches";
        say caboose_off () "cut it off where you came in, on the line, clear of your work";
        say caboose_off_ahead () "it comes in first: shove it out there past the switches, and cut it off";
        say caboose_off_aside () "as you come in over this track, cut it off here";
        say caboose_on () "shove your cars against it, and couple it to the last one";
        say caboose_round (cars, track) "leave your {cars} on {track}, and couple it to the engine alone";
        say caboose_round_by (track, end) "take it by way of {track} to the {end} end of your cars, couple it to the last one, and go back to their other end";
        say caboose_by_hand () "no clear track leads round your cars: lift it by hand to the last one";
        say caboose_with_engine () "bring the engine to it, and couple it";
        say couple () "*COUPLE*";
        say pull_out (cars) "{cars}; pull~out";
        say leave () "*CUT OFF*";
        say until_move (cars, number) "{cars}; only until move~{number}";
        say at_spot (cars, spot) "{cars} at {spot}";
        say go () "*GO*";
        say to_place (cars, place) "{cars} to {place}";
    }
}

section! {
    /// Words of car cards.
    CarCards is "car-cards", "Car cards" {
        say none () "No car moves in this session.";
        label from () "From";
        label by () "By";
        label to () "To";
        label bound () "Bound";
        label on_the_way () "On the way";
        label order () "Order";
        label why () "Why";
        label note () "Note";
        say leg (job, place, track) "{job}: to {place}, {track}";
        say leg_there (job, track) "{job}: to {track}";
        say legs_in_turn (legs, next) "{legs}; then {next}";
        say expected (bound, session) "{bound}, expected in session {session}";
        say not_tonight (bound) "{bound}, not in this session";
        say caution () "for a model railroad: real work follows the regulations";
    }
}
