//! First plans: the pieces in the order of a simple rule, each put where it fits.

use ft_night::{Grouping, Problem};

use crate::bound::{Bounds, bounds};
use crate::budget::Meter;
use crate::build::{Genes, Night};
use crate::model::Model;
use crate::search::{Judge, Value};

/// A night that was built, with its loads.
pub struct Built {
    pub loads: Grouping,
    /// The problem with these loads.
    pub model: Model,
    pub genes: Genes,
    pub value: Value,
}

impl Built {
    /// Builds and judges.
    pub fn new(loads: Grouping, model: Model, judge: &Judge, genes: Genes, meter: &mut Meter) -> Self {
        meter.spend();
        let value = judge.value(&Night::build(&model, &genes));
        Self { loads, model, genes, value }
    }

    /// The best of the simple rules.
    pub fn by_rule(problem: &Problem, loads: Grouping, judge: &Judge, meter: &mut Meter) -> Self {
        let model = Model::new(problem.with_loads(&loads));
        let mut best: Option<(Value, Genes)> = None;
        for order in orders(&model, &bounds(&model)) {
            let genes = genes_of(&order, vec![None; model.pieces.len()]);
            meter.spend();
            let value = judge.value(&Night::build(&model, &genes));
            if best.as_ref().is_none_or(|(least, _)| value < *least) {
                best = Some((value, genes));
            }
            if meter.is_over() {
                break;
            }
        }
        let (value, genes) = best.expect("there is always a rule");
        Self { loads, model, genes, value }
    }
}

/// Orders of the pieces, each from a simple rule.
fn orders(model: &Model, bounds: &Bounds) -> Vec<Vec<usize>> {
    let tail = |piece: usize| model.pieces[piece].acts.clone().map(|act| bounds.tail[act]).max().unwrap_or(0);
    let head = |piece: usize| bounds.head[model.pieces[piece].acts.start];
    let by = |key: &dyn Fn(usize) -> i64| {
        let mut order: Vec<usize> = (0..model.pieces.len()).collect();
        order.sort_by_key(|&piece| key(piece));
        order
    };
    vec![
        by(&|piece| -tail(piece)),
        by(&|piece| piece as i64),
        by(&|piece| head(piece) - tail(piece)),
        by(&|piece| head(piece)),
        by(&|piece| -(model.pieces[piece].followers.len() as i64)),
    ]
}

/// Genes of an order, with wishes about people.
pub fn genes_of(order: &[usize], favour: Vec<Option<usize>>) -> Genes {
    let mut rank = vec![0; order.len()];
    for (position, &piece) in order.iter().enumerate() {
        rank[piece] = position;
    }
    Genes { rank, favour }
}
