//! Reproducible pseudo-random cases: the same ones in every run, on every machine.

use bubblemargin::thermal::Nameplate;
use bubblemargin::thermal::cooling::{Sensor, Stage, Switching};
use bubblemargin::thermal::detailed::{Figures, Flow};
use bubblemargin::thermal::iec::IecConstants;
use bubblemargin::thermal::ieee::IeeeConstants;

/// Length of every case, min.
pub(crate) const UNTIL_MIN: f64 = 600.0;

/// A generator of the `SplitMix64` kind.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number between two others.
    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        let upper = u32::try_from(self.roll() >> 32).unwrap();
        least + (most - least) * f64::from(upper) / f64::from(u32::MAX)
    }

    /// Heads or tails.
    pub(crate) fn coin(&mut self) -> bool {
        self.between(0.0, 1.0) < 0.5
    }

    /// A stage with every constant in a plausible range.
    pub(crate) fn stage(&mut self, name: &str, rating_pu: f64) -> Stage {
        Stage {
            name: name.to_owned(),
            rating_pu,
            gradient_typical: false,
            nameplate: Nameplate {
                top_oil_rise_k: self.between(35.0, 60.0),
                hot_spot_gradient_k: self.between(10.0, 30.0),
                loss_ratio: self.between(2.0, 10.0),
            },
            iec: IecConstants {
                x: self.between(0.7, 1.0),
                y: self.between(1.2, 2.0),
                k11: self.between(0.4, 1.1),
                k21: self.between(1.0, 3.2),
                k22: self.between(0.8, 2.2),
                oil_time_constant_min: self.between(80.0, 240.0),
                winding_time_constant_min: self.between(3.0, 12.0),
            },
            ieee: {
                let n = self.between(0.7, 1.0);
                IeeeConstants {
                    n,
                    below_rating: 1.0,
                    m: self.between(0.7, 1.0),
                    oil_time_constant_min: self.between(60.0, 240.0),
                    winding_time_constant_min: self.between(3.0, 12.0),
                    correct_time_constant: self.coin(),
                }
            },
            detailed: Figures::typical(Flow::ONAF),
            switching: None,
        }
    }

    /// A weaker and a stronger stage; the stronger one starts and stops by itself.
    pub(crate) fn stages(&mut self) -> Vec<Stage> {
        let weaker_pu = self.between(0.55, 0.8);
        let weaker = self.stage("weaker", weaker_pu);
        let mut stronger = self.stage("stronger", 1.0);
        let sensor = if self.coin() { Sensor::TopOil } else { Sensor::Winding };
        let start_c = match sensor {
            Sensor::TopOil => self.between(50.0, 75.0),
            Sensor::Winding => self.between(70.0, 95.0),
        };
        stronger.switching =
            Some(Switching { sensor, start_c, stop_c: start_c - self.between(5.0, 15.0) });
        vec![weaker, stronger]
    }

    /// Values between two others at minute 0 and at about every hour after it.
    pub(crate) fn course(&mut self, least: f64, most: f64) -> Vec<(f64, f64)> {
        let mut course = vec![(0.0, self.between(least, most))];
        let mut minute = self.between(5.0, 120.0);
        while minute < UNTIL_MIN {
            course.push((minute, self.between(least, most)));
            minute += self.between(5.0, 120.0);
        }
        course
    }
}
