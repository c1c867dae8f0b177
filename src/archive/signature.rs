//! Signs the fingerprint's file with a key of OpenSSH.
//!
//! Takes a private key as text and the bytes to sign; gives a signature in the SSHSIG format, armoured, as `ssh-keygen -Y sign`
//! makes it. Ed25519 only: its signatures need no random number, so the same key and bytes give the same signature. Keeps no
//! copy of the key; asks for no passphrase.

use std::fmt;

use ssh_key::{Algorithm, HashAlg, LineEnding, PrivateKey};

use super::profile::SIGNATURE_NAMESPACE;

/// Why a key can't sign.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SignError {
    /// The text is no private key of OpenSSH.
    NoKey(String),
    /// The key is locked by a passphrase.
    Locked,
    /// The key is of another kind.
    OtherKind(String),
    /// The signing itself failed.
    Failed(String),
}

impl fmt::Display for SignError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoKey(reason) => write!(
                f,
                "the file is no private Ed25519 key of OpenSSH ({reason}); make one with: ssh-keygen -t ed25519 -f FILE"
            ),
            Self::Locked => write!(
                f,
                "the key is locked by a passphrase, for which windrow doesn't ask. Let ssh-keygen sign: unpack the archive, run \
                 ssh-keygen -Y sign -f KEY -n {SIGNATURE_NAMESPACE} tagmanifest-sha256.txt there, and hand its signature to windrow \
                 sign with --signature"
            ),
            Self::OtherKind(kind) => write!(
                f,
                "the key is of the kind {kind}; windrow signs with Ed25519 keys (ssh-keygen -t ed25519)"
            ),
            Self::Failed(reason) => write!(f, "the key didn't sign: {reason}"),
        }
    }
}

impl std::error::Error for SignError {}

/// Signs `bytes`, the content of tagmanifest-sha256.txt.
///
/// # Errors
/// [`SignError`] with what to do instead.
pub fn sign(key: &str, bytes: &[u8]) -> Result<String, SignError> {
    let key = PrivateKey::from_openssh(key).map_err(|error| SignError::NoKey(error.to_string()))?;
    if key.is_encrypted() {
        return Err(SignError::Locked);
    }
    if key.algorithm() != Algorithm::Ed25519 {
        return Err(SignError::OtherKind(key.algorithm().to_string()));
    }
    // SHA-512 is what ssh-keygen takes where nothing else is asked for.
    key.sign(SIGNATURE_NAMESPACE, HashAlg::Sha512, bytes)
        .and_then(|signature| signature.to_pem(LineEnding::LF))
        .map_err(|error| SignError::Failed(error.to_string()))
}
