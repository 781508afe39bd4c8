//! Coverage of driven paths against what was really brushed.

use super::Visit;
use super::driver::{Driven, Job, drive};
use super::floor::{CoverageModel, Floor};
use crate::findings::Place;
use crate::findings::path::{PathModel, filter::Noise};

fn model(job: Job) -> CoverageModel {
    CoverageModel {
        path: PathModel {
            noise: Noise {
                gyro_rad_s: 0.002,
                bias_walk: 0.0015 * (2.0_f64 / 600.0).sqrt(),
                bias_start_rad_s: 0.02,
                scale: 0.003,
                speed_m_s: 0.005,
            },
            standing_m_s: 0.05,
            lane_spread_m: 0.1,
            side_spread_m: 0.1,
            path_width_m: job.width_m,
        },
        deck_offset_m: 0.0,
        least_strip_m: 0.05,
    }
}

fn cover(model: CoverageModel, driven: &Driven) -> Visit {
    let mut floor = Floor::new(model);
    floor.begin();
    for motion in &driven.steps {
        floor.step(*motion);
    }
    floor.end(Place::default(), chrono_span(), driven.swept_m2 / model.path.path_width_m)
}

fn chrono_span() -> crate::findings::Span {
    let at = chrono::DateTime::from_timestamp_millis(0).unwrap();
    crate::findings::Span { from: at, to: at }
}

#[test]
#[ignore = "prints how well it does: for tuning"]
fn tuning() {
    let once = Job { once: true, lane_m: 20.0, breadth_m: 12.0, speed_m_s: 1.1, ..Job::default() };
    let jobs = [
        ("45", Job::default()),
        ("45k", Job { scale: 0.005, ..Job::default() }),
        ("once", once),
        ("oncek", Job { scale: 0.005, ..once }),
    ];
    let n = 60;
    let driven: Vec<Vec<Driven>> =
        jobs.iter().map(|(_, job)| (0..n).map(|i| drive(*job, 10_000 + i)).collect()).collect();
    for lane_spread_m in [0.07, 0.1] {
        for side_spread_m in [0.1] {
            for scale in [0.003] {
                print!("lane {lane_spread_m} side {side_spread_m} k {scale}: ");
                for ((name, job), driven) in jobs.iter().zip(&driven) {
                    let mut m = model(*job);
                    m.path.lane_spread_m = lane_spread_m;
                    m.path.side_spread_m = side_spread_m;
                    m.path.noise.scale = scale;
                    let (mut sum, mut squares, mut worst, mut inside, mut bound) =
                        (0.0, 0.0, 0.0_f64, 0, 0.0);
                    for driven in driven {
                        let visit = cover(m, driven);
                        let error = 100.0 * (visit.distinct.0 / driven.distinct_m2 - 1.0);
                        inside += i32::from(
                            error.abs() <= 100.0 * visit.distinct_bound.0 / visit.distinct.0,
                        );
                        bound += 100.0 * visit.distinct_bound.0 / visit.distinct.0;
                        sum += error;
                        squares += error * error;
                        worst = worst.max(error.abs());
                    }
                    let n = n as f64;
                    print!(
                        " {name}: {:+.2} rms {:.2} max {:.1} bound {:.1} in {:.0};",
                        sum / n,
                        (squares / n).sqrt(),
                        worst,
                        bound / n,
                        100.0 * f64::from(inside) / n
                    );
                }
                println!();
            }
        }
    }
}
