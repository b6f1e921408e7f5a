//! The detailed model: oil in the winding's duct, its viscosity, and resistance that grows with temperature.
//!
//! The two forms beside it are lags: their parts tend to what the load alone sets. Here the winding loses heat to the
//! oil in its own duct, which warms up before the oil in the tank does, and it makes the more heat the hotter it is. In
//! the first half hour of a large step the hot spot is 10 to 15 K higher than by either lag, and some kelvin higher
//! after hours above 1.3 pu.
//!
//! # Source       `ieee-c57-91-2011` Annex G, the main clause of the 2025 edition (second-hand).
//! # Valid        K ≤ 2.5 per unit of the stage rating; the rules refuse to decide above it.
//! # Departures   Duct and winding are solved together, where the printed scheme takes the duct of the step before;
//! steps have a bounded error. Top oil counts beside the hot spot as soon as it is hotter than the duct's, printed from
//! 0.1 K on, which would make the hot spot jump; so at the rated load too. The coolers of cold oil below the ambient take nothing. A measured excess is felt by the
//! coolers as a hotter ambient.
//! # Checked      `tests/published/ieee_c57_91_annex_g.rs` against the printed example; `tests/second_opinion/` against an ODE
//! library.

mod balance;
mod course;
mod figures;
mod minutes;
mod model;
mod near;
mod parabola;
mod plate;
mod point;
mod series;
mod stages;
mod step;

pub use balance::Heat;
pub use course::{Course, through};
pub use figures::{Figures, Masses, OWN_FIGURES, OWN_INPUTS};
pub use model::Detailed;
pub use plate::{Conductor, Detail, Duct, Flow, HeatCapacity, Losses, Rated};
pub use series::Series;

use balance::Imposed;

impl Rated {
    /// The state after a long time at a load, per unit of the transformer's rating, and an ambient, °C.
    pub fn steady_at(&self, load_pu: f64, ambient_c: f64) -> Heat {
        self.steady(Imposed { load: load_pu / self.rating_pu, ambient_c })
    }

    /// What winding and hot spot come to at a load, per unit of the transformer's rating, above top oil that stays so hot, °C.
    pub fn above(&self, top_oil_c: f64, load_pu: f64, ambient_c: f64) -> Heat {
        let imposed = Imposed { load: load_pu / self.rating_pu, ambient_c };
        self.at_rest(imposed, Some(self.average_oil_c(top_oil_c, ambient_c)))
    }

    /// Top oil of a state, °C.
    pub fn top_oil_c(&self, heat: &Heat, ambient_c: f64) -> f64 {
        self.oil(heat.oil_c, ambient_c).0
    }

    /// The average oil at which the top oil is so hot, °C.
    pub fn oil_under(&self, top_oil_c: f64, ambient_c: f64) -> f64 {
        self.average_oil_c(top_oil_c, ambient_c)
    }
}
