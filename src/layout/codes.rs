//! The names of all faults that reading and checking a layout can find.
//!
//! One row a fault, errors before warnings, each in the order of the stages that find it. The page
//! `docs/faults.md` and the fixtures in `tests/it/faults` have the same names; a test holds the
//! three together.

use crate::diag::Severity;

/// The name of a fault, and how bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Code {
    /// In kebab-case.
    pub name: &'static str,
    /// Whether a plan is possible in spite of it.
    pub severity: Severity,
}

macro_rules! codes {
    ($($constant:ident = $name:literal, $severity:ident;)*) => {
        $(pub(crate) const $constant: Code = Code { name: $name, severity: Severity::$severity };)*

        /// All of them.
        pub const ALL: &[Code] = &[$($constant),*];
    };
}

codes! {
    // What a file is.
    NOT_TOML = "not-toml", Error;
    NOT_A_ROSTER = "not-a-roster", Error;
    QUOTE_NOT_CLOSED = "quote-not-closed", Error;
    REPEATED_COLUMN = "repeated-column", Error;
    ROW_WIDTH = "row-width", Error;
    // What a table or row has.
    UNKNOWN_TABLE = "unknown-table", Error;
    UNKNOWN_KEY = "unknown-key", Error;
    MISSING_TABLE = "missing-table", Error;
    MISSING_KEY = "missing-key", Error;
    WRONG_TYPE = "wrong-type", Error;
    EMPTY_VALUE = "empty-value", Error;
    // What a value says.
    BAD_ID = "bad-id", Error;
    UNKNOWN_WORD = "unknown-word", Error;
    OUT_OF_BOUNDS = "out-of-bounds", Error;
    CHANGED_BY_SPREADSHEET = "changed-by-spreadsheet", Error;
    BAD_LENGTH = "bad-length", Error;
    LENGTH_OUT_OF_BOUNDS = "length-out-of-bounds", Error;
    BAD_SCALE = "bad-scale", Error;
    BAD_DATE = "bad-date", Error;
    BAD_TIME = "bad-time", Error;
    BAD_WEEKDAYS = "bad-weekdays", Error;
    BAD_SEASON = "bad-season", Error;
    BAD_SPAN = "bad-span", Error;
    BAD_RATE = "bad-rate", Error;
    BAD_SHARE = "bad-share", Error;
    BAD_YEARS = "bad-years", Error;
    BAD_ODDS = "bad-odds", Error;
    BAD_VISITS = "bad-visits", Error;
    BAD_MARK = "bad-mark", Error;
    BAD_CAR_NUMBER = "bad-car-number", Error;
    WRONG_CHECK_DIGIT = "wrong-check-digit", Error;
    // What things are to each other.
    SAME_ID = "same-id", Error;
    SAME_CAR = "same-car", Error;
    SAME_MARK = "same-mark", Error;
    FORMER_ID_TAKEN = "former-id-taken", Error;
    UNKNOWN_NAME = "unknown-name", Error;
    DATES_BACKWARDS = "dates-backwards", Error;
    CYCLIC_BEHIND = "cyclic-behind", Error;
    CYCLIC_AFTER = "cyclic-after", Error;
    JOINED_TO_ITSELF = "joined-to-itself", Error;
    PART_WITHOUT_LENGTH = "part-without-length", Error;
    SPOTS_TOO_LONG = "spots-too-long", Error;
    TRACK_HAS_SPOTS = "track-has-spots", Error;
    TRACK_TOO_SHORT = "track-too-short", Error;
    POWER_TOO_LONG = "power-too-long", Error;
    NO_CARS_STAND_HERE = "no-cars-stand-here", Error;
    TRACK_KEPT_CLEAR = "track-kept-clear", Error;
    NOT_SHIPPED = "not-shipped", Error;
    NOT_RECEIVED = "not-received", Error;
    UNREACHABLE_CALL = "unreachable-call", Error;
    // What makes no sense.
    LEADING_ZEROS = "leading-zeros", Warning;
    SUSPICIOUS_LENGTH = "suspicious-length", Warning;
    CUSTOMER_NOT_REACHED = "customer-not-reached", Warning;
    SPUR_NOT_WORKABLE = "spur-not-workable", Warning;
    NOWHERE_TO_SET_ASIDE = "nowhere-to-set-aside", Warning;
    INTERCHANGE_FOR_ONE = "interchange-for-one", Warning;
    NO_CAR_FOR_LANE = "no-car-for-lane", Warning;
    CARS_DO_NOT_FIT = "cars-do-not-fit", Warning;
    CARS_CANNOT_PASS = "cars-cannot-pass", Warning;
    SERVICE_NOT_OFFERED = "service-not-offered", Warning;
    TOO_MANY_CARLOADS = "too-many-carloads", Warning;
    SPOT_WITHOUT_CAR = "spot-without-car", Warning;
    CAR_OUTSIDE_ITS_YEARS = "car-outside-its-years", Warning;
    NO_WAY_HOME = "no-way-home", Warning;
    NOWHERE_TO_REPAIR = "nowhere-to-repair", Warning;
    ENGINE_CUT_OFF = "engine-cut-off", Warning;
}
