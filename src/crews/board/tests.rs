//! Small boards, dealt by hand first.

use super::*;

/// Jobs of one call each.
fn board(people: usize, hours: u32, minutes: &[u32]) -> Board {
    let job = |work: &u32| Job { calls: vec![Call { work: *work, run: 0 }], crew: 1, ..Job::default() };
    let jobs: Vec<Job> = minutes.iter().map(job).collect();
    let row = (0..jobs.len()).map(|job| CallOf { job, call: 0 }).collect();
    Board { people, hours, jobs, links: Vec::new(), row }
}

fn at(job: usize, call: usize) -> CallOf {
    CallOf { job, call }
}

#[test]
fn loads_are_evened_out() {
    // 60 | 40 + 20: each has the mean.
    let dealt = solve(&board(2, 100, &[60, 40, 20]), BUDGET);
    assert_eq!(dealt.score, Score { late: 0, short: 0, uneven: 0, changes: 1 });
    assert!(dealt.proved);
}

#[test]
fn the_worst_case_of_dealing_the_longest_first_is_solved() {
    // Graham 1969: 5, 5, 4, 4, 3, 3, 3 on three machines; longest first takes 11, the optimum is 9.
    let dealt = solve(&board(3, 0, &[5, 5, 4, 4, 3, 3, 3]), BUDGET);
    assert_eq!((dealt.score.late, dealt.proved), (9, true));
}

#[test]
fn a_job_takes_two_where_they_are_there_and_nobody_is_late_for_it() {
    let mut two = board(2, 30, &[30]);
    two.jobs[0].crew = 2;
    assert_eq!(solve(&two, BUDGET).hands, [(0, Some(1))]);
    // Two such jobs of 30 minutes: in pairs they would end at 60, apart they end at 30.
    let mut apart = board(2, 30, &[30, 30]);
    apart.jobs.iter_mut().for_each(|job| job.crew = 2);
    let dealt = solve(&apart, BUDGET);
    assert_eq!(dealt.score, Score { late: 0, short: 2, uneven: 0, changes: 0 });
}

#[test]
fn engines_order_and_connections_are_respected() {
    // Two people. Jobs 0 and 1 share an engine: 1 begins at 10. Job 2 has two calls of 5 with a run of
    // 2, and its second waits for the call of job 1, done at 20: it ends at 25, having begun at 0.
    let mut board = board(3, 100, &[10, 10, 5]);
    board.jobs[0].engine = Some(4);
    board.jobs[1].engine = Some(4);
    board.jobs[2].calls = vec![Call { work: 5, run: 2 }, Call { work: 5, run: 0 }];
    board.links = vec![Link { first: at(1, 0), then: at(2, 1) }];
    board.row = vec![at(0, 0), at(2, 0), at(1, 0), at(2, 1)];
    let times = walk(&board, &[(0, None), (1, None), (2, None)]).unwrap();
    assert_eq!(times.jobs, [(0, 10), (10, 20), (0, 25)]);
    assert_eq!(times.calls[2], [(0, 5), (20, 25)]);
    assert_eq!(times.latest(), 25);
}

#[test]
fn a_crew_fetches_its_engine_once_it_is_free() {
    // Job 1 has the engine of job 0, done at 10, and fetches it in 4: its call begins at 14, its crew at 10. Where the
    // call waits for one that is done at 18, the crew begins at 14 and not before.
    let mut board = board(3, 100, &[10, 5, 18]);
    board.jobs[0].engine = Some(0);
    board.jobs[1].engine = Some(0);
    board.jobs[1].light = 4;
    let hands = [(0, None), (1, None), (2, None)];
    let times = walk(&board, &hands).unwrap();
    assert_eq!((times.jobs[1], times.calls[1][0]), ((10, 19), (14, 19)));
    assert_eq!(critical(&board, &hands, &times), [1, 0]);
    board.row = vec![at(0, 0), at(2, 0), at(1, 0)];
    board.links = vec![Link { first: at(2, 0), then: at(1, 0) }];
    assert_eq!(walk(&board, &hands).unwrap().jobs[1], (14, 23));
    // 10 and 9 minutes of work for the two, with the run: the busiest has one more than both on average.
    let two = self::board(2, 100, &[10, 5]);
    let jobs = [two.jobs[0].clone(), Job { light: 4, ..two.jobs[1].clone() }].to_vec();
    assert_eq!(solve(&Board { jobs, ..two }, BUDGET).score.uneven, 1);
}

#[test]
fn a_row_in_which_somebody_is_wanted_twice_is_refused() {
    // The row has job 1 begin between the two calls of job 0, so one person cannot take both.
    let mut board = board(1, 100, &[5, 5]);
    board.jobs[0].calls = vec![Call { work: 5, run: 0 }, Call { work: 5, run: 0 }];
    board.row = vec![at(0, 0), at(1, 0), at(0, 1)];
    assert_eq!(walk(&board, &[(0, None), (0, None)]), None);
    board.row = vec![at(0, 0), at(0, 1), at(1, 0)];
    assert_eq!(walk(&board, &[(0, None), (0, None)]).unwrap().jobs, [(0, 10), (10, 15)]);
}

#[test]
fn without_people_nothing_is_dealt() {
    let dealt = solve(&board(0, 100, &[5, 5]), BUDGET);
    assert!(dealt.hands.is_empty());
}
