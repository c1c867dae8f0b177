//! An answer of a time-stamp authority (RFC 3161), held against what it is over.
//!
//! Checked: the answer's status; that the stamp is over the SHA-256 of the content; the nonce, where the request is at hand;
//! the CMS signature (RFC 5652) with the certificate inside; that the signature names that certificate (RFC 5035) and that
//! it is for time stamps alone and was valid at the stamp's time. Not checked: whether the authority deserves trust, that is,
//! its chain of certificates and their withdrawal. Bounded by the size of a seal; no panic on any input.

use std::fmt;

use cms::cert::{CertificateChoices, IssuerAndSerialNumber};
use cms::content_info::ContentInfo;
use cms::signed_data::{SignedData, SignerIdentifier, SignerInfo};
use der::asn1::{Any, Int, ObjectIdentifier, OctetString};
use der::{Decode, Encode, Sequence, Tag, Tagged};
use serde::Serialize;
use sha1::Sha1;
use sha2::{Digest, Sha256, Sha384, Sha512};
use x509_cert::Certificate;
use x509_cert::ext::pkix::{ExtendedKeyUsage, SubjectKeyIdentifier};
use x509_cert::spki::AlgorithmIdentifierOwned;
use x509_tsp::{MessageImprint, TimeStampReq, TimeStampResp};

use super::{Unsound, shown, unsound};
use crate::hash::hex;

/// Names of things in the answer, each with where it comes from.
mod oid {
    use der::asn1::ObjectIdentifier;

    const fn oid(text: &str) -> ObjectIdentifier {
        ObjectIdentifier::new_unwrap(text)
    }
    /// RFC 5652, 5.1.
    pub const SIGNED_DATA: ObjectIdentifier = oid("1.2.840.113549.1.7.2");
    /// RFC 3161, 2.4.2.
    pub const STAMP: ObjectIdentifier = oid("1.2.840.113549.1.9.16.1.4");
    /// RFC 5652, 11.1 and 11.2.
    pub const CONTENT_TYPE: ObjectIdentifier = oid("1.2.840.113549.1.9.3");
    pub const MESSAGE_DIGEST: ObjectIdentifier = oid("1.2.840.113549.1.9.4");
    /// RFC 5035, 5.4 (SHA-1) and 3 (any hash).
    pub const SIGNING_CERTIFICATE: ObjectIdentifier = oid("1.2.840.113549.1.9.16.2.12");
    pub const SIGNING_CERTIFICATE_V2: ObjectIdentifier = oid("1.2.840.113549.1.9.16.2.47");
    /// RFC 5280, 4.2.1.12 and RFC 3161, 2.3.
    pub const EXTENDED_KEY_USAGE: ObjectIdentifier = oid("2.5.29.37");
    pub const FOR_TIME_STAMPS: ObjectIdentifier = oid("1.3.6.1.5.5.7.3.8");
    pub const SUBJECT_KEY: ObjectIdentifier = oid("2.5.29.14");
    /// RFC 5754, 2.
    pub const SHA_256: ObjectIdentifier = oid("2.16.840.1.101.3.4.2.1");
    pub const SHA_384: ObjectIdentifier = oid("2.16.840.1.101.3.4.2.2");
    pub const SHA_512: ObjectIdentifier = oid("2.16.840.1.101.3.4.2.3");
    /// RFC 8017, A.2: an RSA key, and PKCS #1 v1.5 with a hash.
    pub const RSA: ObjectIdentifier = oid("1.2.840.113549.1.1.1");
    pub const RSA_SHA_256: ObjectIdentifier = oid("1.2.840.113549.1.1.11");
    pub const RSA_SHA_384: ObjectIdentifier = oid("1.2.840.113549.1.1.12");
    pub const RSA_SHA_512: ObjectIdentifier = oid("1.2.840.113549.1.1.13");
    /// RFC 5480, 2.1.1, and RFC 5758, 3.2.
    pub const EC_KEY: ObjectIdentifier = oid("1.2.840.10045.2.1");
    pub const P_256: ObjectIdentifier = oid("1.2.840.10045.3.1.7");
    pub const P_384: ObjectIdentifier = oid("1.3.132.0.34");
    pub const ECDSA_SHA_256: ObjectIdentifier = oid("1.2.840.10045.4.3.2");
    pub const ECDSA_SHA_384: ObjectIdentifier = oid("1.2.840.10045.4.3.3");
    pub const ECDSA_SHA_512: ObjectIdentifier = oid("1.2.840.10045.4.3.4");
}

/// A time stamp that holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TimeStamp {
    /// Moment in UTC, as the authority says: `2026-10-01T12:00:00Z`.
    pub time: String,
    /// The subject of the authority's certificate.
    pub authority: String,
    /// SHA-256 of the authority's certificate, in hexadecimal digits.
    pub certificate: String,
    /// Number of the stamp, in hexadecimal digits.
    pub serial: String,
    /// The authority's own policy.
    pub policy: String,
    /// Whether the nonce was compared with the request's.
    pub nonce_compared: bool,
}

/// The stamp's content (RFC 3161, 2.4.2), the time as it stands: some authorities give parts of a second.
#[derive(Debug, Sequence)]
struct StampInfo {
    version: u8,
    policy: ObjectIdentifier,
    message_imprint: MessageImprint,
    serial_number: Int,
    gen_time: Any,
    #[asn1(optional = "true")]
    accuracy: Option<x509_tsp::Accuracy>,
    #[asn1(default = "Default::default")]
    ordering: bool,
    #[asn1(optional = "true")]
    nonce: Option<Int>,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    tsa: Option<Any>,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", optional = "true")]
    extensions: Option<x509_cert::ext::Extensions>,
}

/// RFC 5035, 5.4.1: the certificate by its SHA-1.
#[derive(Debug, Sequence)]
struct CertificateId {
    hash: OctetString,
    #[asn1(optional = "true")]
    issuer_serial: Option<Any>,
}

/// RFC 5035, 4: the certificate by a hash, SHA-256 where none is named.
#[derive(Debug, Sequence)]
struct CertificateIdV2 {
    #[asn1(optional = "true")]
    hash_algorithm: Option<AlgorithmIdentifierOwned>,
    hash: OctetString,
    #[asn1(optional = "true")]
    issuer_serial: Option<Any>,
}

#[derive(Debug, Sequence)]
struct SigningCertificate {
    certificates: Vec<CertificateId>,
    #[asn1(optional = "true")]
    policies: Option<Any>,
}

#[derive(Debug, Sequence)]
struct SigningCertificateV2 {
    certificates: Vec<CertificateIdV2>,
    #[asn1(optional = "true")]
    policies: Option<Any>,
}

fn unreadable(what: &'static str) -> impl Fn(der::Error) -> Unsound {
    move |error| {
        unsound(format!(
            "its {what} can't be read: {}",
            shown(&error.to_string())
        ))
    }
}

/// Judges an answer over `stamped`; with the request in DER, its nonce too.
///
/// # Errors
/// Why it doesn't hold, or can't be checked.
pub fn over(answer: &[u8], stamped: &[u8], request: Option<&[u8]>) -> Result<TimeStamp, Unsound> {
    let answer = TimeStampResp::from_der(answer).map_err(unreadable("answer"))?;
    // 0 is granted, 1 is granted with changes (RFC 3161, 2.4.2).
    let status = answer.status.status as u32;
    if status > 1 {
        return Err(unsound(format!(
            "the authority refused to stamp (status {status}); ask again, or ask another"
        )));
    }
    let token = answer
        .time_stamp_token
        .ok_or_else(|| unsound("the answer holds no time stamp"))?;
    let signed = signed_data(&token)?;
    let content = stamp_content(&signed)?;
    let info = StampInfo::from_der(&content).map_err(unreadable("time stamp"))?;
    check_imprint(&info.message_imprint, stamped)?;
    let nonce_compared = match request {
        Some(request) => {
            check_request(request, &info)?;
            true
        }
        None => false,
    };
    let time = moment(&info.gen_time)?;
    let [signer] = signed.signer_infos.0.as_slice() else {
        return Err(unsound("it is not signed by exactly one authority"));
    };
    // RFC 5652, 5.3: the signer's hash is among those that are told before the content.
    let mut told = signed.digest_algorithms.iter();
    if !told.any(|algorithm| algorithm.oid == signer.digest_alg.oid) {
        return Err(unsound("its signer uses another hash than it says"));
    }
    let certificate = certificate_of(&signed, signer)?;
    let der = certificate.to_der().map_err(unreadable("certificate"))?;
    check_signature(signer, certificate, &der, &content)?;
    check_purpose(certificate)?;
    check_validity(certificate, &time)?;
    Ok(TimeStamp {
        time,
        authority: shown(&certificate.tbs_certificate.subject.to_string()),
        certificate: hex(&Sha256::digest(&der)),
        serial: shown(&hex(info.serial_number.as_bytes())),
        policy: info.policy.to_string(),
        nonce_compared,
    })
}

fn signed_data(token: &ContentInfo) -> Result<SignedData, Unsound> {
    if token.content_type != oid::SIGNED_DATA {
        return Err(unsound("the time stamp is not signed"));
    }
    token
        .content
        .decode_as::<SignedData>()
        .map_err(unreadable("signed data"))
}

fn stamp_content(signed: &SignedData) -> Result<Vec<u8>, Unsound> {
    let inside = &signed.encap_content_info;
    if inside.econtent_type != oid::STAMP {
        return Err(unsound("what is signed is no time stamp"));
    }
    inside
        .econtent
        .as_ref()
        .and_then(|content| content.decode_as::<OctetString>().ok())
        .map(OctetString::into_bytes)
        .ok_or_else(|| unsound("the time stamp has no content"))
}

fn check_imprint(imprint: &MessageImprint, stamped: &[u8]) -> Result<(), Unsound> {
    if imprint.hash_algorithm.oid != oid::SHA_256 {
        return Err(unsound(
            "it is over another hash than SHA-256; ask for a stamp with the request that windrow timestamp writes",
        ));
    }
    if imprint.hashed_message.as_bytes() == Sha256::digest(stamped).as_slice() {
        Ok(())
    } else {
        Err(unsound(
            "the stamp is over something else than tagmanifest-sha256.txt as it is here: one of the two was changed, or the stamp is \
             another archive's",
        ))
    }
}

fn check_request(request: &[u8], info: &StampInfo) -> Result<(), Unsound> {
    let request = TimeStampReq::from_der(request).map_err(unreadable("request"))?;
    if request.message_imprint != info.message_imprint {
        return Err(unsound(
            "the answer is not one to this request: they are over different hashes",
        ));
    }
    // A request without a nonce may not be answered with one (RFC 3161, 2.4.2).
    if request.nonce != info.nonce {
        return Err(unsound(
            "the answer is not one to this request: its nonce is another",
        ));
    }
    Ok(())
}

/// The time as `2026-10-01T12:00:00.5Z`. Only the form that RFC 3161, 2.4.2 allows: UTC, a dot before parts of a second.
fn moment(time: &Any) -> Result<String, Unsound> {
    let wrong = || unsound("the time in the stamp is not one that RFC 3161 allows");
    if time.tag() != Tag::GeneralizedTime {
        return Err(wrong());
    }
    let text = std::str::from_utf8(time.value()).map_err(|_| wrong())?;
    let (whole, part) = text
        .strip_suffix('Z')
        .map(|text| text.split_once('.').unwrap_or((text, "")))
        .ok_or_else(wrong)?;
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    // YYYYMMDDhhmmss, and at most nanoseconds.
    if whole.len() != 14 || !digits(whole) || !digits(part) || part.len() > 9 {
        return Err(wrong());
    }
    let time = chrono::NaiveDateTime::parse_from_str(whole, "%Y%m%d%H%M%S").map_err(|_| wrong())?;
    let dot = if part.is_empty() { "" } else { "." };
    Ok(format!("{}{dot}{part}Z", time.format("%Y-%m-%dT%H:%M:%S")))
}

/// The certificate inside that the signer names.
fn certificate_of<'a>(
    signed: &'a SignedData,
    signer: &SignerInfo,
) -> Result<&'a Certificate, Unsound> {
    let inside = signed.certificates.iter().flat_map(|set| set.0.iter());
    inside
        .filter_map(|choice| match choice {
            CertificateChoices::Certificate(certificate) => Some(certificate),
            CertificateChoices::Other(_) => None,
        })
        .find(|certificate| match &signer.sid {
            SignerIdentifier::IssuerAndSerialNumber(IssuerAndSerialNumber {
                issuer,
                serial_number,
            }) => {
                certificate.tbs_certificate.issuer == *issuer
                    && certificate.tbs_certificate.serial_number == *serial_number
            }
            SignerIdentifier::SubjectKeyIdentifier(wanted) => {
                extension(certificate, oid::SUBJECT_KEY)
                    .and_then(|(value, _)| SubjectKeyIdentifier::from_der(value).ok())
                    .is_some_and(|found| found == *wanted)
            }
        })
        .ok_or_else(|| {
            unsound(
                "the authority's certificate is not in the answer, so its signature can't be checked; the request that windrow timestamp \
                 writes asks for it",
            )
        })
}

/// An extension's bytes, and whether it is critical.
fn extension(certificate: &Certificate, wanted: ObjectIdentifier) -> Option<(&[u8], bool)> {
    let mut extensions = certificate.tbs_certificate.extensions.iter().flatten();
    extensions
        .find(|extension| extension.extn_id == wanted)
        .map(|extension| (extension.extn_value.as_bytes(), extension.critical))
}

/// A hash by its name in the answer.
fn digest(algorithm: ObjectIdentifier, bytes: &[u8]) -> Option<Vec<u8>> {
    match algorithm {
        oid::SHA_256 => Some(Sha256::digest(bytes).to_vec()),
        oid::SHA_384 => Some(Sha384::digest(bytes).to_vec()),
        oid::SHA_512 => Some(Sha512::digest(bytes).to_vec()),
        _ => None,
    }
}

/// RFC 5652, 5.4 and 5.6: the signed attributes name the content's type and digest, and the signature is over them.
fn check_signature(
    signer: &SignerInfo,
    certificate: &Certificate,
    der: &[u8],
    content: &[u8],
) -> Result<(), Unsound> {
    let attributes = signer
        .signed_attrs
        .as_ref()
        .ok_or_else(|| unsound("it has no signed attributes, which RFC 3161 asks for"))?;
    let attribute = |wanted: ObjectIdentifier| {
        let mut found = attributes.iter().filter(|one| one.oid == wanted);
        match (found.next().map(|one| one.values.as_slice()), found.next()) {
            (Some([value]), None) => Some(value),
            _ => None,
        }
    };
    let named = attribute(oid::CONTENT_TYPE).and_then(|value| value.decode_as().ok());
    if named != Some(oid::STAMP) {
        return Err(unsound("its signature is not for a time stamp"));
    }
    let other_hash =
        || unsound("it uses a hash that windrow doesn't check; openssl ts -verify may");
    let wanted = digest(signer.digest_alg.oid, content).ok_or_else(other_hash)?;
    let stated =
        attribute(oid::MESSAGE_DIGEST).and_then(|value| value.decode_as::<OctetString>().ok());
    if stated.is_none_or(|stated| stated.as_bytes() != wanted) {
        return Err(unsound(
            "the time stamp was changed: it isn't what its authority signed",
        ));
    }
    let names_certificate = match (
        attribute(oid::SIGNING_CERTIFICATE_V2),
        attribute(oid::SIGNING_CERTIFICATE),
    ) {
        (Some(value), _) => value
            .decode_as::<SigningCertificateV2>()
            .ok()
            .and_then(|list| list.certificates.into_iter().next())
            .is_some_and(|id| {
                let algorithm = id.hash_algorithm.map_or(oid::SHA_256, |named| named.oid);
                digest(algorithm, der).as_deref() == Some(id.hash.as_bytes())
            }),
        (None, Some(value)) => value
            .decode_as::<SigningCertificate>()
            .ok()
            .and_then(|list| list.certificates.into_iter().next())
            .is_some_and(|id| Sha1::digest(der).as_slice() == id.hash.as_bytes()),
        (None, None) => false,
    };
    if !names_certificate {
        return Err(unsound(
            "its signature doesn't name the certificate inside as the signer's",
        ));
    }
    let signed = attributes
        .to_der()
        .map_err(unreadable("signed attributes"))?;
    let hash_by_signature = match signer.signature_algorithm.oid {
        oid::RSA_SHA_256 | oid::ECDSA_SHA_256 => oid::SHA_256,
        oid::RSA_SHA_384 | oid::ECDSA_SHA_384 => oid::SHA_384,
        oid::RSA_SHA_512 | oid::ECDSA_SHA_512 => oid::SHA_512,
        oid::RSA => signer.digest_alg.oid,
        _ => return Err(other_signature()),
    };
    let hashed = digest(hash_by_signature, &signed).ok_or_else(other_hash)?;
    let holds = key_verifies(
        certificate,
        hash_by_signature,
        &hashed,
        signer.signature.as_bytes(),
    )?;
    if holds {
        Ok(())
    } else {
        Err(unsound(
            "the authority's signature doesn't fit: the stamp or its certificate was changed",
        ))
    }
}

fn other_signature() -> Unsound {
    unsound("it is signed in a way that windrow doesn't check; openssl ts -verify may")
}

fn key_verifies(
    certificate: &Certificate,
    hash: ObjectIdentifier,
    hashed: &[u8],
    signature: &[u8],
) -> Result<bool, Unsound> {
    use p256::ecdsa::signature::hazmat::PrehashVerifier;
    use rsa::pkcs1::DecodeRsaPublicKey;

    let info = &certificate.tbs_certificate.subject_public_key_info;
    let key = info
        .subject_public_key
        .as_bytes()
        .ok_or_else(|| unsound("the key in the certificate can't be read"))?;
    let bad_key = || unsound("the key in the certificate can't be read");
    match info.algorithm.oid {
        oid::RSA => {
            let key = rsa::RsaPublicKey::from_pkcs1_der(key).map_err(|_| bad_key())?;
            let scheme = match hash {
                oid::SHA_256 => rsa::Pkcs1v15Sign::new::<rsa::sha2::Sha256>(),
                oid::SHA_384 => rsa::Pkcs1v15Sign::new::<rsa::sha2::Sha384>(),
                _ => rsa::Pkcs1v15Sign::new::<rsa::sha2::Sha512>(),
            };
            Ok(key.verify(scheme, hashed, signature).is_ok())
        }
        oid::EC_KEY => {
            let curve: Option<ObjectIdentifier> = info
                .algorithm
                .parameters
                .as_ref()
                .and_then(|curve| curve.decode_as().ok());
            match curve {
                Some(oid::P_256) => {
                    let key =
                        p256::ecdsa::VerifyingKey::from_sec1_bytes(key).map_err(|_| bad_key())?;
                    Ok(p256::ecdsa::DerSignature::from_bytes(signature)
                        .is_ok_and(|signature| key.verify_prehash(hashed, &signature).is_ok()))
                }
                Some(oid::P_384) => {
                    let key =
                        p384::ecdsa::VerifyingKey::from_sec1_bytes(key).map_err(|_| bad_key())?;
                    Ok(p384::ecdsa::DerSignature::from_bytes(signature)
                        .is_ok_and(|signature| key.verify_prehash(hashed, &signature).is_ok()))
                }
                _ => Err(other_signature()),
            }
        }
        _ => Err(other_signature()),
    }
}

/// RFC 3161, 2.3: the certificate is for time stamps and for nothing else, and says so critically.
fn check_purpose(certificate: &Certificate) -> Result<(), Unsound> {
    let fits = extension(certificate, oid::EXTENDED_KEY_USAGE).is_some_and(|(value, critical)| {
        critical
            && ExtendedKeyUsage::from_der(value)
                .is_ok_and(|usage| usage.0.as_slice() == [oid::FOR_TIME_STAMPS])
    });
    if fits {
        Ok(())
    } else {
        Err(unsound(
            "the certificate inside is not one for time stamps alone",
        ))
    }
}

/// Compares as text: all are UTC in one form, and a part of a second sorts behind the whole one that it follows.
fn check_validity(certificate: &Certificate, time: &str) -> Result<(), Unsound> {
    let validity = &certificate.tbs_certificate.validity;
    let text = |time: x509_cert::time::Time| time.to_date_time().to_string();
    let (from, to) = (text(validity.not_before), text(validity.not_after));
    let second: String = time.chars().take("2026-10-01T12:00:00".len()).collect();
    let second = format!("{second}Z");
    if from <= second && second <= to {
        Ok(())
    } else {
        Err(unsound(format!(
            "the authority's certificate is valid from {from} to {to}, and the stamp says {time}"
        )))
    }
}

impl fmt::Display for TimeStamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "time stamp of {} by {} (certificate {}). The signature of the stamp was checked with the certificate inside: it proves that \
             exactly this archive was there at that time, if that authority and its clock are to be trusted. The authority's own trust is \
             for you to judge, for example with: openssl ts -verify",
            self.time, self.authority, self.certificate
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn time(text: &str) -> Any {
        Any::new(Tag::GeneralizedTime, text.as_bytes()).unwrap()
    }

    #[test]
    fn times_are_read_as_rfc_3161_writes_them() {
        for (text, read) in [
            ("20261001120000Z", "2026-10-01T12:00:00Z"),
            ("20261001120000.34Z", "2026-10-01T12:00:00.34Z"),
        ] {
            assert_eq!(moment(&time(text)).unwrap(), read);
        }
        for text in [
            "",
            "Z",
            "20261001120000",
            "20261301120000Z",
            "20261001120000+0100",
            "2026100112000Z",
            "20261001120000,5Z",
        ] {
            assert!(moment(&time(text)).is_err(), "{text}");
        }
    }

    #[test]
    fn nonsense_is_told_and_never_a_panic() {
        for bytes in [
            &b""[..],
            b"\x30",
            &[0x30, 0x84, 0xFF, 0xFF, 0xFF, 0xFF],
            &[0x30; 4096],
        ] {
            let Unsound(what) = over(bytes, b"x", None).unwrap_err();
            assert!(what.starts_with("its answer can't be read"), "{what}");
        }
        // Status 2, rejection, and nothing else (RFC 3161, 2.4.2).
        let refused = [0x30, 0x05, 0x30, 0x03, 0x02, 0x01, 0x02];
        let Unsound(what) = over(&refused, b"x", None).unwrap_err();
        assert!(what.contains("refused to stamp (status 2)"), "{what}");
    }
}
