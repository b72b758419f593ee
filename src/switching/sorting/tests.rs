//! Strings worked by hand, and the published strings of `tests/outside/data/sorting.json` in short.

use super::*;

/// The train that the stages make, by a hand that only pulls and shoves.
fn train(sorting: &Sorting, cars: usize, tracks: usize) -> Vec<usize> {
    let mut lies: Vec<Vec<usize>> = vec![Vec::new(); tracks];
    let mut train = Vec::new();
    for stage in &sorting.stages {
        let cut: Vec<usize> = match stage.pulled {
            None => (0..cars).collect(),
            Some(track) => std::mem::take(&mut lies[track]),
        };
        assert_eq!(cut, stage.rolls.iter().flat_map(|roll| roll.cars.clone()).collect::<Vec<_>>());
        for roll in &stage.rolls {
            match roll.to {
                To::Train => train.extend(&roll.cars),
                To::Track(track) => lies[track].extend(&roll.cars),
            }
        }
    }
    train
}

fn sorted(string: &[usize], scheme: Scheme, tracks: usize) -> Option<Sorting> {
    let sorting = sort(string, scheme, tracks)?;
    let blocks: Vec<usize> =
        train(&sorting, string.len(), tracks).into_iter().map(|car| string[car]).collect();
    assert_eq!(blocks.len(), string.len());
    assert!(blocks.is_sorted(), "{string:?} comes out as {blocks:?}");
    Some(sorting)
}

#[test]
fn a_string_falls_into_its_breaks_and_one_more() {
    // Read once: 1; again: 2 3; again: 4.
    assert_eq!(chains(&[4, 2, 1, 3]), Chains { count: 3, of: vec![2, 1, 0, 1] });
    assert_eq!(chains(&[1, 2, 3]).count, 1);
    assert_eq!(chains(&[]).count, 0);
}

#[test]
fn a_block_may_be_cut_in_two_where_that_saves_a_reading() {
    assert_eq!(chains(&[1, 0, 2, 1]), Chains { count: 2, of: vec![1, 0, 1, 0] });
}

#[test]
fn strings_with_known_answers_take_as_many_steps() {
    // The strings of the reference table: chains and steps as they stand there.
    let known: [(&[usize], usize, usize); 5] = [
        (&[5, 4, 3, 2, 1], 5, 3),
        (&[6, 1, 7, 3, 8, 5, 4, 2], 4, 2),
        (&[4, 5, 1, 2, 6, 3], 2, 1),
        (&[13, 14, 1, 2, 7, 15, 3, 4, 8, 9, 10, 16, 5, 6, 11, 12], 3, 2),
        (&[18, 9, 3, 12, 4, 10, 14, 19, 16, 7, 6, 15, 11, 8, 17, 2, 1, 20, 5, 13], 10, 4),
    ];
    for (string, chains, steps) in known {
        let sorting = sorted(string, Scheme::Geometric, string.len()).unwrap();
        assert_eq!((sorting.chains.count, sorting.steps()), (chains, steps), "{string:?}");
    }
}

#[test]
fn a_track_that_was_pulled_is_filled_again() {
    // Five chains: codes on one track 0 1 11 111 1111, on two 0 1 10 11 110, on three 000 to 100.
    let string = [5, 4, 3, 2, 1];
    let steps = |tracks| sorted(&string, Scheme::Geometric, tracks).unwrap().steps();
    assert_eq!((steps(1), steps(2), steps(3), steps(4)), (4, 3, 3, 3));
    assert_eq!(sort(&string, Scheme::Geometric, 0), None);
    assert!(sort(&[1, 2], Scheme::Geometric, 0).is_some());
}

#[test]
fn schemes_sort_as_many_chains_as_they_should() {
    let reversed = |cars: usize| (0..cars).rev().collect::<Vec<_>>();
    // Triangular on one track: codes 0, 1, 11; a single roll-out on three: 0, 1, 10, 100.
    for (scheme, tracks, most) in [(Scheme::Single, 3, 4), (Scheme::Triangular, 1, 3)] {
        assert!(sorted(&reversed(most), scheme, tracks).is_some(), "{scheme:?}");
        assert!(sorted(&reversed(most + 1), scheme, tracks).is_none(), "{scheme:?}");
    }
    for steps in 1..7u32 {
        for scheme in [Scheme::Single, Scheme::Triangular, Scheme::Geometric] {
            let most = usize::try_from(most_chains(scheme, steps)).unwrap();
            let took = |chains| sort(&reversed(chains), scheme, steps as usize).map(|done| done.steps());
            assert_eq!(took(most), Some(steps as usize), "{scheme:?}");
            assert_ne!(took(most + 1), Some(steps as usize), "{scheme:?}");
        }
    }
}

#[test]
fn the_published_hump_takes_two_runs_over_two_roads_and_one_over_four() {
    let parts = chains(&[6, 1, 7, 3, 8, 5, 4, 2]).count;
    assert_eq!((runs(parts, 2), runs(parts, 3), runs(parts, 4)), (2, 2, 1));
    assert_eq!((steps(1), steps(2), steps(3), steps(4), steps(5)), (0, 1, 2, 2, 3));
}
