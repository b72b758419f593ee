//! A ZIP archive of files that are not compressed, which is what a workbook may be: written by the published
//! layout of the format, so that a spoiled page within it still has a sound checksum.

/// An archive of files by their names.
pub(super) fn zip(files: &[(&str, &[u8])]) -> Vec<u8> {
    let (mut out, mut directory) = (Vec::new(), Vec::new());
    for (name, bytes) in files {
        let at = u32::try_from(out.len()).unwrap();
        out.extend(b"PK\x03\x04");
        let head = head(name, bytes);
        out.extend(&head);
        out.extend(name.as_bytes());
        out.extend(*bytes);
        directory.extend(b"PK\x01\x02\x14\x00");
        directory.extend(&head);
        // No remark, the first disk, no marks of its own.
        directory.extend([0; 10]);
        directory.extend(at.to_le_bytes());
        directory.extend(name.as_bytes());
    }
    let (at, length) = (u32::try_from(out.len()).unwrap(), u32::try_from(directory.len()).unwrap());
    out.extend(&directory);
    out.extend(b"PK\x05\x06\0\0\0\0");
    let count = u16::try_from(files.len()).unwrap().to_le_bytes();
    out.extend([count, count].concat());
    out.extend([length.to_le_bytes(), at.to_le_bytes()].concat());
    out.extend([0, 0]);
    out
}

/// What both the file and the directory say of a file: version 2.0, stored, no time.
fn head(name: &str, bytes: &[u8]) -> Vec<u8> {
    let length = u32::try_from(bytes.len()).unwrap().to_le_bytes();
    let mut head = vec![20, 0, 0, 0, 0, 0, 0, 0, 0x21, 0];
    head.extend(checksum(bytes).to_le_bytes());
    head.extend([length, length].concat());
    head.extend(u16::try_from(name.len()).unwrap().to_le_bytes());
    head.extend([0, 0]);
    head
}

/// CRC-32 as ISO 3309 has it.
fn checksum(bytes: &[u8]) -> u32 {
    let shifted = |sum: u32| if sum & 1 == 1 { (sum >> 1) ^ 0xEDB8_8320 } else { sum >> 1 };
    !bytes.iter().fold(u32::MAX, |sum, byte| (0..8).fold(sum ^ u32::from(*byte), |sum, _| shifted(sum)))
}

#[test]
fn the_checksum_is_that_of_the_published_example() {
    // The check value of CRC-32 in every catalogue of such sums.
    assert_eq!(checksum(b"123456789"), 0xCBF4_3926);
}
