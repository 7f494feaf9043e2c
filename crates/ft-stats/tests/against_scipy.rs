//! Values of `SciPy` 1.17 (`scipy.stats`, `scipy.special`); the pass rule is relative.
// Printed to full precision.
#![allow(clippy::unreadable_literal, clippy::excessive_precision)]

use ft_stats::distribution::{
    beta_cdf, binomial, binomial_cdf, chi_squared_quantile, gamma_lower, hypergeometric_cdf, normal_cdf,
    normal_quantile, normal_tail, poisson, poisson_cdf, student_cdf, student_quantile,
};

#[test]
fn distributions_agree_with_scipy() {
    let rows = [
        ("normal_cdf(-8.0)", normal_cdf(-8.0), 6.22096057427174e-16, 1e-13),
        ("normal_cdf(-3.0)", normal_cdf(-3.0), 0.0013498980316300933, 1e-13),
        ("normal_cdf(-0.5)", normal_cdf(-0.5), 0.3085375387259869, 1e-13),
        ("normal_cdf(0.0)", normal_cdf(0.0), 0.5, 1e-13),
        ("normal_cdf(1.5)", normal_cdf(1.5), 0.9331927987311419, 1e-13),
        ("normal_cdf(4.0)", normal_cdf(4.0), 0.9999683287581669, 1e-13),
        ("normal_tail(3.0)", normal_tail(3.0), 0.0013498980316300933, 1e-13),
        ("normal_tail(6.0)", normal_tail(6.0), 9.865876450376946e-10, 1e-13),
        ("normal_tail(10.0)", normal_tail(10.0), 7.61985302416047e-24, 1e-13),
        ("normal_quantile(1e-09)", normal_quantile(1e-09), -5.9978070150076865, 1e-12),
        ("normal_quantile(0.025)", normal_quantile(0.025), -1.9599639845400545, 1e-12),
        ("normal_quantile(0.5)", normal_quantile(0.5), 0.0, 1e-12),
        ("normal_quantile(0.9)", normal_quantile(0.9), 1.2815515655446004, 1e-12),
        ("normal_quantile(0.999999)", normal_quantile(0.999999), 4.753424308817087, 1e-12),
        ("student_cdf(1.2,3.0)", student_cdf(1.2, 3.0), 0.8418689426509474, 1e-11),
        ("student_cdf(-2.5,12.0)", student_cdf(-2.5, 12.0), 0.01395769978566262, 1e-11),
        ("student_cdf(0.3,1.0)", student_cdf(0.3, 1.0), 0.5927735790777423, 1e-11),
        ("student_quantile(0.9,12.0)", student_quantile(0.9, 12.0), 1.356217334023205, 1e-09),
        ("student_quantile(0.975,6.0)", student_quantile(0.975, 6.0), 2.4469118511449786, 1e-09),
        ("student_quantile(0.05,6.0)", student_quantile(0.05, 6.0), -1.943180280515305, 1e-09),
        ("student_quantile(0.995,1.0)", student_quantile(0.995, 1.0), 63.656741162871526, 1e-09),
        ("chi_squared_quantile(0.95,1.0)", chi_squared_quantile(0.95, 1.0), 3.841458820694124, 1e-10),
        ("chi_squared_quantile(0.9,6.0)", chi_squared_quantile(0.9, 6.0), 10.644640675668422, 1e-10),
        ("chi_squared_quantile(0.025,24.0)", chi_squared_quantile(0.025, 24.0), 12.401150217444435, 1e-10),
        ("chi_squared_quantile(0.975,26.0)", chi_squared_quantile(0.975, 26.0), 41.92317009635392, 1e-10),
        ("beta_cdf(0.3,2.0,5.0)", beta_cdf(0.3, 2.0, 5.0), 0.5798250000000003, 1e-12),
        ("beta_cdf(0.9,0.5,0.5)", beta_cdf(0.9, 0.5, 0.5), 0.7951672353008665, 1e-12),
        ("gamma_lower(0.4,0.2)", gamma_lower(0.4, 0.2), 0.5601037604298112, 1e-13),
        ("gamma_lower(1.5,3.0)", gamma_lower(1.5, 3.0), 0.8883897749052874, 1e-13),
        ("gamma_lower(0.2857,12.0)", gamma_lower(0.2857, 12.0), 0.9999996866930712, 1e-13),
        ("poisson_cdf(0,2.0)", poisson_cdf(0, 2.0), 0.1353352832366127, 1e-13),
        ("poisson_cdf(4,2.0)", poisson_cdf(4, 2.0), 0.9473469826562889, 1e-13),
        ("poisson_cdf(30,20.0)", poisson_cdf(30, 20.0), 0.9865253187200778, 1e-13),
        ("poisson(3,2.5)", poisson(3, 2.5), 0.21376301724973648, 1e-14),
        ("binomial_cdf(0,5,0.1)", binomial_cdf(0, 5, 0.1), 0.59049, 1e-13),
        ("binomial_cdf(2,5,0.3)", binomial_cdf(2, 5, 0.3), 0.83692, 1e-13),
        ("binomial_cdf(3,52,0.06)", binomial_cdf(3, 52, 0.06), 0.6195938734016604, 1e-13),
        ("binomial(2,5,0.3)", binomial(2, 5, 0.3), 0.3086999999999998, 1e-13),
        ("hypergeometric_cdf(1,50,5,10)", hypergeometric_cdf(1, 50, 5, 10), 0.7418999792331364, 1e-12),
        ("hypergeometric_cdf(0,20,2,5)", hypergeometric_cdf(0, 20, 2, 5), 0.5526315789473684, 1e-12),
    ];
    for (name, answer, expected, tolerance) in rows {
        let off = if expected == 0.0 { answer.abs() } else { (answer / expected - 1.0).abs() };
        assert!(off <= tolerance, "{name} is {answer}, SciPy says {expected}: off by {off:e}");
    }
}

#[test]
fn what_is_outside_a_distribution_is_not_a_number() {
    for answer in [
        normal_quantile(1.5),
        student_quantile(0.0, 3.0),
        student_cdf(1.0, -1.0),
        chi_squared_quantile(0.5, -2.0),
        poisson_cdf(1, -1.0),
        binomial_cdf(1, 5, 1.1),
        gamma_lower(-1.0, 1.0),
        hypergeometric_cdf(1, 5, 9, 2),
    ] {
        assert!(answer.is_nan(), "{answer}");
    }
}
