//! The site's own certificates: an authority that is made once and that tablets trust, and a certificate for the
//! names under which the site is reached, made at each start.

use std::path::Path;
use std::sync::Arc;

use rcgen::{
    BasicConstraints, CertificateParams, DnType, ExtendedKeyUsagePurpose, IsCa, Issuer, KeyPair,
    KeyUsagePurpose,
};
use sha2::{Digest, Sha256};
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};

/// What the site shows of itself, and what it serves with.
pub struct Trust {
    /// The authority's certificate, PEM.
    pub authority_pem: String,
    /// SHA-256 of the authority's certificate, in groups, to compare by eye.
    pub fingerprint: String,
    /// For connections.
    pub config: Arc<ServerConfig>,
    /// The first of its names.
    pub name: String,
}

/// The authority's files in the site's folder.
const CERTIFICATE: &str = "fulltray-ca.crt";
const KEY: &str = "fulltray-ca.key";

/// Year, month and day (UTC) so many days from today.
fn in_days(days: i64) -> (i32, u8, u8) {
    let then = jiff::Timestamp::now() + jiff::SignedDuration::from_hours(24 * days);
    let date = jiff::tz::TimeZone::UTC.to_datetime(then).date();
    (date.year().into(), date.month().unsigned_abs(), date.day().unsigned_abs())
}

/// Sets from when to when a certificate holds: from yesterday, since clocks differ.
fn set_validity(params: &mut CertificateParams, days: i64) {
    let ((from_y, from_m, from_d), (to_y, to_m, to_d)) = (in_days(-1), in_days(days));
    params.not_before = rcgen::date_time_ymd(from_y, from_m, from_d);
    params.not_after = rcgen::date_time_ymd(to_y, to_m, to_d);
}

/// Reads the site's authority from its folder, or makes it there, and a certificate for these names.
///
/// # Errors
/// A sentence: the folder cannot be read or written, or what lies there is no authority.
pub fn trust(folder: &Path, names: &[String]) -> Result<Trust, String> {
    let (pem, key) = authority(folder)?;
    let issuer = Issuer::new(authority_params(), key);
    let mut params = CertificateParams::new(names.to_vec()).map_err(|error| error.to_string())?;
    params.distinguished_name.push(DnType::CommonName, names.first().map_or("fulltray", String::as_str));
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.use_authority_key_identifier_extension = true;
    set_validity(&mut params, 397);
    let own = KeyPair::generate().map_err(|error| error.to_string())?;
    let certificate = params.signed_by(&own, &issuer).map_err(|error| error.to_string())?;
    let authority = der(&pem)?;
    let chain = vec![certificate.der().clone(), authority.clone()];
    let key = PrivateKeyDer::Pkcs8(PrivatePkcs8KeyDer::from(own.serialize_der()));
    let provider = Arc::new(tokio_rustls::rustls::crypto::ring::default_provider());
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(|error| error.to_string())?
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .map_err(|error| error.to_string())?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    let digest = Sha256::digest(&authority);
    let groups: Vec<String> = digest.chunks(2).map(pair_of_bytes).collect();
    Ok(Trust {
        authority_pem: pem,
        fingerprint: groups.join(" "),
        config: Arc::new(config),
        name: names.first().cloned().unwrap_or_default(),
    })
}

fn pair_of_bytes(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |text, byte| text + &format!("{byte:02X}"))
}

/// What the authority says of itself, which its certificates repeat.
fn authority_params() -> CertificateParams {
    let mut params = CertificateParams::default();
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.distinguished_name = rcgen::DistinguishedName::new();
    params.distinguished_name.push(DnType::CommonName, "Fulltray, this kitchen's own");
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params
}

fn authority(folder: &Path) -> Result<(String, KeyPair), String> {
    let (certificate, key) = (folder.join(CERTIFICATE), folder.join(KEY));
    if certificate.exists() && key.exists() {
        let read = |path: &Path| {
            std::fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))
        };
        let pair = KeyPair::from_pem(&read(&key)?).map_err(|error| format!("{}: {error}", key.display()))?;
        return Ok((read(&certificate)?, pair));
    }
    let pair = KeyPair::generate().map_err(|error| error.to_string())?;
    let mut params = authority_params();
    set_validity(&mut params, 3650);
    let made = params.self_signed(&pair).map_err(|error| error.to_string())?;
    std::fs::create_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    write_secret(&key, &pair.serialize_pem())?;
    std::fs::write(&certificate, made.pem())
        .map_err(|error| format!("{}: {error}", certificate.display()))?;
    Ok((made.pem(), pair))
}

/// Written so that only its owner can read it.
fn write_secret(path: &Path, text: &str) -> Result<(), String> {
    use std::io::Write as _;
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let written = options.open(path).and_then(|mut file| file.write_all(text.as_bytes()));
    written.map_err(|error| format!("{}: {error}", path.display()))
}

fn der(pem: &str) -> Result<CertificateDer<'static>, String> {
    use tokio_rustls::rustls::pki_types::pem::PemObject as _;
    CertificateDer::from_pem_slice(pem.as_bytes()).map_err(|error| error.to_string())
}
