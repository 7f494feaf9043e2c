//! Seals: a closed night is signed with the site's key, so that the record up to there is the site's word.
//!
//! What is signed (Ed25519, RFC 8032) is the ASCII text
//!
//! ```text
//! fulltray seal 1
//! 412
//! 5f1c…
//! ```
//!
//! with the place and the hash in lower case hex of the last event that it covers, each line ended by a line feed.
//! Since each hash covers all before it, a seal covers the whole record up to its place.

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};
use serde::{Deserialize, Serialize};

use crate::chain::{Hash, hex, unhex};

/// A signature over the record up to one event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seal {
    /// The last event that it covers.
    pub seq: u64,
    /// The hash of that event, lower case hex.
    pub hash: String,
    /// The public key, lower case hex, 32 bytes.
    pub key: String,
    /// The signature, lower case hex, 64 bytes.
    pub signature: String,
    /// When it was made, milliseconds since 1970-01-01 UTC; not signed.
    pub made_ms: i64,
}

/// The key of a site. Whoever has it can sign for the site.
pub struct SiteKey(SigningKey);

impl SiteKey {
    /// A key from 32 random bytes.
    pub fn from_bytes(secret: &[u8; 32]) -> Self {
        Self(SigningKey::from_bytes(secret))
    }

    /// The public key, lower case hex: all that somebody needs who verifies.
    pub fn public(&self) -> String {
        hex(self.0.verifying_key().as_bytes())
    }

    /// Signs the record up to an event.
    pub fn seal(&self, seq: u64, hash: &Hash, made_ms: i64) -> Seal {
        let hash = hex(hash);
        let signature = self.0.sign(message(seq, &hash).as_bytes());
        Seal { seq, hash, key: self.public(), signature: hex(&signature.to_bytes()), made_ms }
    }
}

fn message(seq: u64, hash: &str) -> String {
    format!("fulltray seal 1\n{seq}\n{hash}\n")
}

impl Seal {
    /// Whether the key that it names signed it; whether that key is the site's is for the caller to compare.
    ///
    /// # Errors
    /// What is wrong, in words that follow "the seal does not hold:".
    pub fn verify(&self) -> Result<(), String> {
        let key = unhex::<32>(&self.key).ok_or("its key is not 32 bytes of lower case hex")?;
        let key = VerifyingKey::from_bytes(&key).map_err(|_| "its key is no Ed25519 key")?;
        let signature =
            unhex::<64>(&self.signature).ok_or("its signature is not 64 bytes of lower case hex")?;
        key.verify_strict(message(self.seq, &self.hash).as_bytes(), &Signature::from_bytes(&signature))
            .map_err(|_| "the signature is not of this key, place and hash".to_owned())
    }
}
