//! Files in which two versions of some lines stand side by side, as a version control system leaves them.

use std::ops::Range;

/// What begins the lines of our version, and what ends those of the other: seven of these, and a blank.
const MARKS: [u8; 2] = [b'<', b'>'];

/// How many of them.
const TIMES: usize = 7;

/// The line where the first such place begins, or where a rest of one stands.
pub fn unsettled(text: &str) -> Option<Range<usize>> {
    let is_mark = |line: &[u8]| {
        MARKS
            .iter()
            .any(|mark| line.get(TIMES) == Some(&b' ') && line[..TIMES].iter().all(|byte| byte == mark))
    };
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        if is_mark(line.as_bytes()) {
            return Some(start..start + line.trim_end().len());
        }
        start += line.len();
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_seen_at_the_begin_of_a_line_alone() {
        let (ours, theirs) = ("<".repeat(TIMES), ">".repeat(TIMES));
        assert_eq!(unsettled(&format!("a\r\n{ours} ours\r\nb\n")), Some(3..15));
        assert_eq!(unsettled(&format!("a\n{theirs} theirs")), Some(2..16));
        let sound = format!("note = \"{ours} what\"\n# {theirs} this\n{ours}\n{ours}< more\n<<\n");
        assert_eq!(unsettled(&sound), None);
    }
}
