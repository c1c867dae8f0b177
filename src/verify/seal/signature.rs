//! A signature in the SSHSIG format, held against what it is over.
//!
//! The format is OpenSSH's PROTOCOL.sshsig; `ssh-keygen -Y verify` reads it too. Only Ed25519 is checked.

use std::fmt;

use serde::Serialize;
use ssh_key::{Algorithm, HashAlg, PublicKey, SshSig};

use super::{Unsound, shown, unsound};
use crate::archive::profile::SIGNATURE_NAMESPACE;

/// A signature that holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Signature {
    /// The signer's public key as OpenSSH writes it, without a comment.
    pub key: String,
    /// The key's own fingerprint, as `ssh-keygen -l` tells it.
    pub key_fingerprint: String,
}

/// Judges a signature over `signed`.
///
/// # Errors
/// Why it doesn't hold.
pub fn over(signature: &[u8], signed: &[u8]) -> Result<Signature, Unsound> {
    let signature = SshSig::from_pem(signature).map_err(|error| {
        unsound(format!(
            "it is no signature of OpenSSH: {}",
            shown(&error.to_string())
        ))
    })?;
    if signature.algorithm() != Algorithm::Ed25519 {
        return Err(unsound(format!(
            "it is by a key of the kind {}, which windrow doesn't check; ssh-keygen -Y verify does",
            shown(signature.algorithm().as_str())
        )));
    }
    if signature.namespace() != SIGNATURE_NAMESPACE {
        return Err(unsound(format!(
            "it was made for the purpose '{}' and not for '{SIGNATURE_NAMESPACE}'",
            shown(signature.namespace())
        )));
    }
    let key = PublicKey::from(signature.public_key().clone());
    key.verify(SIGNATURE_NAMESPACE, signed, &signature)
        .map_err(|_| {
            unsound("the signature doesn't fit tagmanifest-sha256.txt: one of the two was changed")
        })?;
    Ok(Signature {
        key: key
            .to_openssh()
            .map_err(|error| unsound(format!("its key can't be written out: {error}")))?,
        key_fingerprint: key.fingerprint(HashAlg::Sha256).to_string(),
    })
}

impl fmt::Display for Signature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "signed by the key {} ({}). It proves that whoever holds that key signed exactly this archive. It doesn't prove who that \
             is, nor when: compare the key with one that you had from the signer by another way",
            self.key_fingerprint, self.key
        )
    }
}

#[cfg(test)]
mod tests {
    use ssh_key::LineEnding;
    use ssh_key::private::{Ed25519Keypair, PrivateKey};

    use super::*;
    use crate::archive::sign;

    const SIGNED: &[u8] = b"00  bag-info.txt\n";

    /// A key that everybody knows, and that is good for tests alone.
    fn key() -> PrivateKey {
        PrivateKey::from(Ed25519Keypair::from_seed(&[7; 32]))
    }

    fn signed() -> String {
        sign(&key().to_openssh(LineEnding::LF).unwrap(), SIGNED).unwrap()
    }

    #[test]
    fn what_was_signed_holds_and_is_the_same_each_time() {
        let signature = signed();
        assert_eq!(signature, signed());
        let judged = over(signature.as_bytes(), SIGNED).unwrap();
        assert!(judged.key.starts_with("ssh-ed25519 "));
        assert!(judged.key_fingerprint.starts_with("SHA256:"));
    }

    #[test]
    fn every_flipped_bit_of_signature_or_content_is_found_or_changes_nothing() {
        let signature = signed().into_bytes();
        let key = over(&signature, SIGNED).unwrap().key;
        for at in 0..SIGNED.len() * 8 {
            let mut signed = SIGNED.to_vec();
            signed[at / 8] ^= 1 << (at % 8);
            assert!(
                over(&signature, &signed).is_err(),
                "bit {at} of the content"
            );
        }
        for at in 0..signature.len() * 8 {
            let mut changed = signature.clone();
            changed[at / 8] ^= 1 << (at % 8);
            // White space and dashes around the armour carry nothing; whatever passes says the same key of the same content.
            if let Ok(judged) = over(&changed, SIGNED) {
                assert_eq!(judged.key, key, "bit {at}");
            }
        }
        for length in 0..signature.len() {
            let _ = over(&signature[..length], SIGNED);
        }
        assert!(over(&[0xFF; 4096], SIGNED).is_err());
    }

    #[test]
    fn another_purpose_is_refused() {
        let other = key().sign("file", HashAlg::Sha512, SIGNED).unwrap();
        let other = other.to_pem(LineEnding::LF).unwrap();
        let Unsound(what) = over(other.as_bytes(), SIGNED).unwrap_err();
        assert!(what.contains("purpose 'file'"), "{what}");
    }

    #[test]
    fn no_key_is_told_in_words() {
        let told = sign("-----BEGIN", SIGNED).unwrap_err().to_string();
        assert!(told.contains("ssh-keygen -t ed25519"), "{told}");
    }
}
