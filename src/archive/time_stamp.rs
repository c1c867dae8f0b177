//! A request for a time stamp (RFC 3161, 2.4.1) over the fingerprint.
//!
//! Takes the fingerprint; gives the request's bytes, the same for the same input. Sends nothing.

use der::asn1::{Any, Int, Null, OctetString};
use der::oid::ObjectIdentifier;
use der::{Encode, Error};
use x509_cert::spki::AlgorithmIdentifier;
use x509_tsp::{MessageImprint, TimeStampReq, TspVersion};

use super::tree::Hash;

/// SHA-256 (RFC 5754, 2.2).
const SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.1");

/// A request in DER. It asks for the authority's certificate, so that the answer can be checked by itself.
///
/// A nonce only ties the answer to this very request; the hash ties it to the archive already.
///
/// # Errors
/// None in practice: all lengths are fixed.
pub fn time_stamp_request(fingerprint: &Hash, nonce: Option<u64>) -> Result<Vec<u8>, Error> {
    TimeStampReq {
        version: TspVersion::V1,
        message_imprint: MessageImprint {
            hash_algorithm: AlgorithmIdentifier {
                oid: SHA_256,
                parameters: Some(Any::encode_from(&Null)?),
            },
            hashed_message: OctetString::new(fingerprint.as_slice())?,
        },
        req_policy: None,
        nonce: nonce.map(integer).transpose()?,
        cert_req: true,
        extensions: None,
    }
    .to_der()
}

/// A number as ASN.1 wants it: as few bytes as it takes, and a zero before a leading bit.
fn integer(number: u64) -> Result<Int, Error> {
    let mut bytes = vec![0];
    bytes.extend(number.to_be_bytes());
    let needless = bytes
        .windows(2)
        .take_while(|pair| matches!(pair, [0, next] if *next < 0x80))
        .count();
    Int::new(bytes.get(needless..).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use sha2::{Digest, Sha256};

    use super::*;
    use crate::archive::tree::hex;

    /// By hand from RFC 3161, 2.4.1, and X.690 (DER): SEQUENCE { 1, SEQUENCE { SEQUENCE { SHA-256, NULL }, hash }, TRUE }.
    /// The hash is that of "abc" (FIPS 180-4).
    #[test]
    fn the_request_is_what_the_standard_says() {
        let request = time_stamp_request(&Sha256::digest("abc").into(), None).unwrap();
        assert_eq!(
            hex(&request),
            "30390201013031300d060960864801650304020105000420\
             ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad0101ff"
        );
    }

    #[test]
    fn numbers_have_as_few_bytes_as_they_take() {
        for (number, bytes) in [
            (0, vec![0]),
            (0x7f, vec![0x7f]),
            (0x80, vec![0, 0x80]),
            (0x0100, vec![1, 0]),
            (u64::MAX, vec![0, 255, 255, 255, 255, 255, 255, 255, 255]),
        ] {
            assert_eq!(integer(number).unwrap().as_bytes(), bytes, "{number}");
        }
    }
}
