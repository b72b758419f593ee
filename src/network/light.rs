//! Engines that one job leaves elsewhere than where the next job that has them begins: they are run there light.

use std::collections::BTreeMap;

use super::{Network, RowCall};
use crate::ids::{JobIx, PlaceIx};
use crate::units::Minutes;

/// The run of an engine by itself from where one job leaves it to where the next one begins. The crew of the job
/// that takes the engine over makes it: the other crew is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Light {
    /// The job that had the engine before.
    pub after: JobIx,
    /// Where that one ends.
    pub from: PlaceIx,
    /// Where the job begins that takes it over.
    pub to: PlaceIx,
    /// The run over the links between the two; none where they are not joined that day.
    pub links: Minutes,
}

/// The jobs that begin with such a run.
pub(super) fn light(network: &Network<'_>) -> BTreeMap<JobIx, Light> {
    let jobs = network.layout.jobs();
    let mut last: BTreeMap<&str, JobIx> = BTreeMap::new();
    let mut light = BTreeMap::new();
    for RowCall { job, place: to, .. } in network.calls.values().filter(|call| call.previous.is_none()) {
        let Some(engine) = jobs[*job].power.engine.as_deref() else { continue };
        let Some(after) = last.insert(engine, *job) else { continue };
        let Some(from) = jobs[after].calls.last().map(|call| call.place) else { continue };
        if from != *to {
            let joined = Some(network.distance(from, *to)).filter(|seconds| *seconds < u32::MAX);
            let links = Minutes::seconds(joined.unwrap_or(0));
            light.insert(*job, Light { after, from, to: *to, links });
        }
    }
    light
}

#[cfg(test)]
mod tests {
    use crate::network::{Network, Passing};
    use crate::testing::branch;
    use crate::units::{Date, Minutes};

    #[test]
    fn an_engine_that_is_left_elsewhere_is_run_light_to_its_next_job() {
        let layout = branch(
            1,
            r#"
[job.out]
railroad = "CHT"
calls = ["yard", "town"]
engine = "CHT 7"
[job.drill]
railroad = "CHT"
calls = ["yard"]
engine = "CHT 7"
after = ["out"]
[job.second]
railroad = "CHT"
calls = ["yard"]
engine = "CHT 7"
after = ["drill"]
"#,
        );
        let network = Network::new(&layout, Date::new(1978, 10, 2).unwrap());
        let job = |id: &str| layout.jobs().iter().find(|(_, job)| job.id.as_str() == id).unwrap().0;
        let light = network.light(job("drill")).unwrap();
        // Town – yard is four minutes; the second drill finds the engine where it begins.
        assert_eq!((light.after, light.links), (job("out"), Minutes::new(4)));
        assert_eq!(network.way(&Passing::default(), light.from, light.to).unwrap().minutes, light.links);
        assert!(network.light(job("out")).is_none() && network.light(job("second")).is_none());
    }
}
