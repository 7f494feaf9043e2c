//! How many spares to hold for a service level over a lead time, and what to order.
//!
//! Each part that is used is ordered again at once (base stock), and uses are Poisson over the lead time: right for
//! several positions that wear on their own, cautious for one position with a planned change.

use ft_stats::distribution::{poisson, poisson_cdf};

use crate::weibull::Weibull;

/// What a kind of part uses up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    /// Parts used for each unit of age over all positions: changed in time and failed.
    pub parts: f64,
    /// Of these, parts that failed.
    pub failures: f64,
}

/// Use of `positions` places whose parts follow a law and are changed at `change_at`, or when they fail.
///
/// Source: renewal reward: one part for each mean time in service.
pub fn rate_of_use(law: Weibull, positions: u32, change_at: Option<f64>) -> Use {
    let (mean, failing) = match change_at {
        Some(age) => (law.mean_until(age), 1.0 - law.survival(age)),
        None => (law.mean(), 1.0),
    };
    let parts = f64::from(positions) / mean;
    Use { parts, failures: parts * failing }
}

/// The smallest stock with which all wishes over the lead time are met with at least the probability `service`.
///
/// `mean` is the use expected over the lead time; `service` is 0 to below 1, else NaN rules give the answer 0.
pub fn stock_for(mean: f64, service: f64) -> u64 {
    let mut stock = 0;
    while poisson_cdf(stock, mean) < service.min(1.0 - 1e-12) {
        stock += 1;
    }
    stock
}

/// Probability that all wishes over the lead time are met from a stock.
pub fn service_level(stock: u64, mean: f64) -> f64 {
    poisson_cdf(stock, mean)
}

/// Share of wishes met at once from a stock, each part ordered again when used.
pub fn fill_rate(stock: u64, mean: f64) -> f64 {
    if stock == 0 { 0.0 } else { poisson_cdf(stock - 1, mean) }
}

/// Wishes that wait, on average at any moment: `E[(D - S)+] = mean - S + Σ (S - k) p(k)`.
pub fn expected_waiting(stock: u64, mean: f64) -> f64 {
    let short = (0..stock).fold(0.0, |total, k| total + (stock - k) as f64 * poisson(k, mean));
    mean - stock as f64 + short
}

/// One line of an order list.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// The kind of part.
    pub part: String,
    /// Stock to hold.
    pub hold: u64,
    /// On the shelf and on order already.
    pub have: u64,
    /// To order now.
    pub order: u64,
}

/// What to order so that shelf and orders together reach the stock to hold.
pub fn order(part: &str, hold: u64, have: u64) -> Order {
    Order { part: part.to_owned(), hold, have, order: hold.saturating_sub(have) }
}
