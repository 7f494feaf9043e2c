//! The chain shows every change; seals hold only for what was sealed.
#![allow(clippy::unwrap_used)]

mod common;

use common::{event, stored};
use ft_record::{Break, Fact, Follow, Link, Seal, SiteKey, Verifier, hash, hex, unhex};
use proptest::prelude::*;

fn notes(texts: &[String]) -> Vec<Link> {
    let events: Vec<_> = texts
        .iter()
        .zip(1..)
        .map(|(text, order)| event("aa", order, order as i64, Fact::Note { text: text.clone() }))
        .collect();
    stored(&events)
        .into_iter()
        .map(|one| Link { seq: one.seq, prev: hex(&one.prev), hash: hex(&one.hash), text: one.text })
        .collect()
}

fn follow(links: &[Link], seals: Vec<Seal>, key: Option<&str>) -> Result<u64, (u64, Break)> {
    let mut follow = Follow::new(seals, key);
    for link in links {
        follow.take(link).map_err(|broken| (broken.seq, broken.how))?;
    }
    follow.end().map_err(|broken| (broken.seq, broken.how))?;
    Ok(follow.head().0)
}

/// Source: FIPS 180-4's examples give SHA-256 of "abc"; here the 32 zero bytes stand before it, so this value was
/// worked out with Python's hashlib: `hashlib.sha256(bytes(32) + b"abc").hexdigest()`.
#[test]
fn the_hash_is_sha_256_of_the_previous_hash_and_the_text() {
    assert_eq!(
        hex(&hash(&[0; 32], "abc")),
        "365aa7d8f7f9402c4b9434502b4cc89ddb09fe50d7cd95b493b834c62d5a5370"
    );
}

#[test]
fn every_flipped_bit_of_a_short_chain_is_found_at_its_link() {
    let links = notes(&["one".into(), "dos ñ".into(), "three \"3\"".into()]);
    assert_eq!(follow(&links, vec![], None), Ok(3));
    let mut tried = 0;
    for at in 0..links.len() {
        for (field, length) in
            [(0, links[at].prev.len()), (1, links[at].hash.len()), (2, links[at].text.len())]
        {
            for byte in 0..length {
                for bit in 0..8 {
                    let mut changed = links.clone();
                    let text = match field {
                        0 => &mut changed[at].prev,
                        1 => &mut changed[at].hash,
                        _ => &mut changed[at].text,
                    };
                    let mut bytes = text.clone().into_bytes();
                    bytes[byte] ^= 1 << bit;
                    // What is no text any more cannot be stored as one.
                    let Ok(other) = String::from_utf8(bytes) else { continue };
                    *text = other;
                    let (seq, _) = follow(&changed, vec![], None).unwrap_err();
                    assert_eq!(seq, at as u64 + 1, "field {field}, byte {byte}, bit {bit}");
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 6000, "{tried}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_is_left_out_doubled_or_swapped_is_found(
        texts in prop::collection::vec(".{0,20}", 3..12), one in 0usize..12, two in 0usize..12,
    ) {
        let links = notes(&texts);
        let (one, two) = (one % links.len(), two % links.len());
        prop_assert_eq!(follow(&links, vec![], None), Ok(links.len() as u64));
        let mut swapped = links.clone();
        swapped.swap(one, two);
        prop_assert_eq!(follow(&swapped, vec![], None).is_ok(), one == two);
        let mut doubled = links.clone();
        doubled.insert(one, links[one].clone());
        prop_assert!(follow(&doubled, vec![], None).is_err());
        let mut shorter = links.clone();
        shorter.remove(one);
        // A chain does not know that its end was cut off; a seal does.
        prop_assert_eq!(follow(&shorter, vec![], None).is_ok(), one == links.len() - 1);
        let key = SiteKey::from_bytes(&[7; 32]);
        let end = links.last().unwrap();
        let seal = key.seal(end.seq, &unhex(&end.hash).unwrap(), 0);
        prop_assert!(follow(&links, vec![seal.clone()], Some(&key.public())).is_ok());
        prop_assert!(follow(&shorter, vec![seal], None).is_err());
    }

    /// Somebody who has the record but not the key hashes it anew after a change.
    #[test]
    fn a_chain_hashed_anew_does_not_pass_under_the_seal(at in 0usize..5, secret in any::<[u8; 32]>()) {
        let mut texts: Vec<String> = (0..5).map(|number| format!("note {number}")).collect();
        let key = SiteKey::from_bytes(&secret);
        let end = notes(&texts).pop().unwrap();
        let seal = key.seal(end.seq, &unhex(&end.hash).unwrap(), 0);
        texts[at].push('!');
        let forged = notes(&texts);
        prop_assert_eq!(follow(&forged, vec![], None), Ok(5));
        prop_assert!(matches!(follow(&forged, vec![seal.clone()], None), Err((5, Break::Seal(_)))));
        let own = SiteKey::from_bytes(&[1; 32]).seal(5, &unhex(&forged[4].hash).unwrap(), 0);
        prop_assert!(matches!(follow(&forged, vec![own], Some(&key.public())), Err((5, Break::Seal(_)))));
        for byte in [at, at + 60, 127 - at] {
            let mut broken = seal.clone();
            let digit = if &seal.signature[byte..=byte] == "0" { "1" } else { "0" };
            broken.signature.replace_range(byte..=byte, digit);
            prop_assert!(broken.verify().is_err());
        }
    }
}

/// Source: RFC 8032, section 7.1, TEST 1: the secret key and its public key.
#[test]
fn the_key_is_that_of_the_standard() {
    let secret = unhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60").unwrap();
    let public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
    assert_eq!(SiteKey::from_bytes(&secret).public(), public);
}

#[test]
fn a_link_that_says_another_place_is_found() {
    let mut links = notes(&["one".into()]);
    links[0].text = links[0].text.replace("\"seq\":1", "\"seq\":2");
    links[0].hash = hex(&hash(&[0; 32], &links[0].text));
    let broken = Verifier::default().take(&links[0]).unwrap_err();
    assert!(matches!(broken.how, Break::Text(_)), "{broken}");
    links[0].text = "{}".to_owned();
    links[0].hash = hex(&hash(&[0; 32], &links[0].text));
    assert!(Verifier::default().take(&links[0]).is_err());
}
