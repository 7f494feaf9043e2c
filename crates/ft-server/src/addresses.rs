//! Wrong PINs by the address that they come from: who guesses at many names is slowed down too.
//!
//! Each address may miss a few times; each miss is forgotten after a while. Kept in memory alone: a restart forgets
//! them, and the limit for each name, which is kept, holds on.

use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv6Addr};

/// As many misses are free. Source: none, our choice: more than a crew mistypes in a shift, far less than the
/// thousands of tries that four digits take.
const FREE: i64 = 20;
/// A miss is forgotten after so long. Source: none, our choice.
const FORGOTTEN_MS: i64 = 60_000;
/// Addresses that are remembered.
const REMEMBERED: usize = 4096;

/// Misses by address, each as the moment at which all of them will be forgotten.
#[derive(Debug, Default)]
pub struct Addresses(BTreeMap<IpAddr, i64>);

impl Addresses {
    /// Counts a try before it is known whether it is right, so that tries beside each other count as well.
    ///
    /// # Errors
    /// How many milliseconds to wait, where there were too many; then nothing is counted.
    pub fn begin(&mut self, from: IpAddr, now_ms: i64) -> Result<(), i64> {
        let from = network(from);
        let clear_ms = self.0.get(&from).copied().unwrap_or(now_ms).max(now_ms);
        let more = clear_ms + FORGOTTEN_MS;
        let most = now_ms + FREE * FORGOTTEN_MS;
        if more > most {
            return Err(more - most);
        }
        if self.0.len() >= REMEMBERED && !self.0.contains_key(&from) {
            self.make_room(now_ms);
        }
        self.0.insert(from, more);
        Ok(())
    }

    /// The try was right: it does not count.
    pub fn right(&mut self, from: IpAddr) {
        if let Some(clear_ms) = self.0.get_mut(&network(from)) {
            *clear_ms -= FORGOTTEN_MS;
        }
    }

    /// Forgets who missed longest ago.
    fn make_room(&mut self, now_ms: i64) {
        self.0.retain(|_, clear_ms| now_ms < *clear_ms);
        while self.0.len() >= REMEMBERED {
            let first = self.0.iter().min_by_key(|(_, clear_ms)| **clear_ms).map(|(from, _)| *from);
            let Some(first) = first else { return };
            self.0.remove(&first);
        }
    }
}

/// An address of IPv4, or the /64 that one of IPv6 is in: whoever has one of those has all of them.
fn network(from: IpAddr) -> IpAddr {
    match from.to_canonical() {
        IpAddr::V6(address) => {
            let [a, b, c, d, ..] = address.segments();
            IpAddr::V6(Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0))
        }
        address @ IpAddr::V4(_) => address,
    }
}

#[cfg(test)]
mod tests {
    use std::net::{IpAddr, Ipv4Addr};

    use super::{Addresses, FORGOTTEN_MS, FREE, REMEMBERED};

    fn address(text: &str) -> IpAddr {
        text.parse().expect("an address")
    }

    #[test]
    fn so_many_are_free_and_then_one_a_while() {
        let mut addresses = Addresses::default();
        let (one, other) = (address("192.0.2.1"), address("192.0.2.2"));
        for _ in 0..FREE {
            assert_eq!(addresses.begin(one, 0), Ok(()));
        }
        assert_eq!(addresses.begin(one, 0), Err(FORGOTTEN_MS));
        assert_eq!(addresses.begin(other, 0), Ok(()), "others are not held up");
        assert_eq!(addresses.begin(one, FORGOTTEN_MS - 1), Err(1));
        assert_eq!(addresses.begin(one, FORGOTTEN_MS), Ok(()));
        assert!(addresses.begin(one, FORGOTTEN_MS).is_err());
        addresses.right(one);
        assert_eq!(addresses.begin(one, FORGOTTEN_MS), Ok(()), "what was right does not count");
    }

    #[test]
    fn one_network_is_one_address() {
        let mut addresses = Addresses::default();
        for last in 0..FREE {
            assert_eq!(addresses.begin(address(&format!("2001:db8::{last:x}")), 0), Ok(()));
        }
        assert!(addresses.begin(address("2001:db8::ffff"), 0).is_err());
        assert_eq!(addresses.begin(address("2001:db8:0:1::1"), 0), Ok(()));
        // IPv4 through a socket of IPv6 is IPv4.
        for _ in 0..FREE {
            assert_eq!(addresses.begin(address("::ffff:192.0.2.1"), 0), Ok(()));
        }
        assert!(addresses.begin(address("192.0.2.1"), 0).is_err());
        assert_eq!(addresses.begin(address("::ffff:192.0.2.2"), 0), Ok(()));
    }

    #[test]
    fn never_more_than_are_remembered() {
        let mut addresses = Addresses::default();
        for number in 0..2 * REMEMBERED as u32 {
            assert_eq!(addresses.begin(IpAddr::V4(Ipv4Addr::from(number)), i64::from(number)), Ok(()));
        }
        assert_eq!(addresses.0.len(), REMEMBERED);
    }
}
