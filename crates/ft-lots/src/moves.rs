//! What moves product, taken out of the record's events.

use ft_record::{Event, Fact, LotOrigin};

/// Something that moved product.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// The device that told it and its count there: what happened at the same millisecond stays in order.
    pub device: String,
    /// See `device`.
    pub order: u64,
    /// The event's id.
    pub event: String,
    /// The run that it belongs to.
    pub run: Option<String>,
    /// What moved.
    pub moved: Moved,
}

/// How product moved. A place is a lot's name, or a vessel as `machine/vessel`.
#[derive(Debug, Clone, PartialEq)]
pub enum Moved {
    /// A lot came in, litres. Kept product (rerun) comes in empty: its content is told by blends.
    In(String, f64),
    /// From one place into another, litres.
    Over(String, String, f64),
    /// Served out of a place, litres.
    Served(String, f64),
    /// Thrown away out of a place; `None`: all that was there.
    Away(String, Option<f64>),
}

impl Move {
    /// The move of an event; `None` if it moves nothing, or names a volume that is none.
    pub fn of(event: &Event) -> Option<Self> {
        let sound = |litres: f64| litres.is_finite() && litres > 0.0;
        let moved = match &event.fact {
            Fact::LotReceived { origin: LotOrigin::Rerun, .. } => return None,
            Fact::LotReceived { lot, litres, .. } if sound(*litres) => Moved::In(lot.clone(), *litres),
            Fact::Blended { from, into, litres } if sound(*litres) && from != into => {
                Moved::Over(from.clone(), into.clone(), *litres)
            }
            Fact::Served { from, litres } if sound(*litres) => Moved::Served(from.clone(), *litres),
            Fact::Discarded { lot, litres, .. } if litres.is_none_or(sound) => {
                Moved::Away(lot.clone(), *litres)
            }
            _ => return None,
        };
        Some(Self {
            at_ms: event.at_ms,
            device: event.device.clone(),
            order: event.order,
            event: event.id.clone(),
            run: event.run.clone(),
            moved,
        })
    }

    /// What moves are sorted by.
    pub(crate) fn key(&self) -> (i64, &str, u64) {
        (self.at_ms, &self.device, self.order)
    }

    /// Whether it touches a place.
    pub(crate) fn touches(&self, place: &str) -> bool {
        match &self.moved {
            Moved::In(at, _) | Moved::Served(at, _) | Moved::Away(at, _) => at == place,
            Moved::Over(from, into, _) => from == place || into == place,
        }
    }
}
