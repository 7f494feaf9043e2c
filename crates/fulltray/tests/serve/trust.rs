//! HTTPS on the kitchen's own network: who trusts the certificate that the site hands out is let in, and nobody else is.
//!
//! The client is Python's, over OpenSSL: another implementation than the server's.

use std::path::Path;

use crate::site::{Site, python};

const NAME: &str = "kiosk.test";

/// Connects to `port` as a client that trusts what lies in a file (`-`: what this computer trusts) and asks by `name`;
/// prints status, cookie and page, or why not.
const CLIENT: &str = "
import http.client, socket, ssl, sys
port, trusted, name, method, path = sys.argv[1:]
context = ssl.create_default_context(cafile=None if trusted == '-' else trusted)
# As strict as later versions are by default: every extension that RFC 5280 asks for.
context.verify_flags |= ssl.VERIFY_X509_STRICT
try:
    secure = context.wrap_socket(socket.create_connection(('127.0.0.1', int(port))), server_hostname=name)
except ssl.SSLCertVerificationError as error:
    print('refused', error.verify_message)
    sys.exit()
site = http.client.HTTPConnection(name)
site.sock = secure
site.request(method, path, '{}' if method == 'POST' else None, {'x-fulltray': '1', 'content-type': 'application/json'})
answer = site.getresponse()
print(secure.version(), answer.status, answer.read().decode())
";

/// What a tablet does first: it fetches the certificate from a site that it does not trust yet.
const FETCH: &str = "
import hashlib, socket, ssl, sys
port, to = sys.argv[1:]
context = ssl._create_unverified_context()
secure = context.wrap_socket(socket.create_connection(('127.0.0.1', int(port))), server_hostname='kiosk.test')
secure.sendall(b'GET /trust/ca.crt HTTP/1.1\\r\\nhost: kiosk.test\\r\\nconnection: close\\r\\n\\r\\n')
text = b''
while piece := secure.recv(4096): text += piece
pem = text.split(b'\\r\\n\\r\\n', 1)[1].decode()
open(to, 'w').write(pem)
print(hashlib.sha256(ssl.PEM_cert_to_DER_cert(pem)).hexdigest().upper())
";

fn port(site: &Site) -> String {
    site.base.rsplit(':').next().expect("a port").to_owned()
}

/// The SHA-256 of the certificate that the site hands out, which is written to a file.
fn fetch(site: &Site, to: &Path) -> Option<String> {
    Some(python(FETCH, &[&port(site), &to.display().to_string()])?.trim().to_owned())
}

#[test]
fn who_trusts_the_certificate_is_let_in_and_nobody_else_is() {
    let (folder, other) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let site = Site::start_with(folder.path(), &["--name", NAME]);
    let (ours, theirs) = (folder.path().join("fetched.crt"), other.path().join("fetched.crt"));
    let Some(digest) = fetch(&site, &ours) else { return };
    // It is the one of which the terminal tells the digest, so that it can be compared by eye.
    let told = site.fingerprint.clone().expect("it has a certificate").replace(' ', "");
    assert_eq!(digest, told);
    let ask = |trusted: &Path, name: &str, path: &str| {
        python(CLIENT, &[&port(&site), &trusted.display().to_string(), name, "GET", path]).unwrap_or_default()
    };
    let health = ask(&ours, NAME, "/health");
    assert!(health.starts_with("TLSv1.3 200 ") && health.contains("\"ok\""), "{health}");
    // The page that helps a tablet shows the same digest, and needs nobody signed in.
    let page = ask(&ours, NAME, "/trust");
    let shown: String = page.chars().filter(|letter| !letter.is_whitespace()).collect();
    assert!(page.starts_with("TLSv1.3 200 ") && shown.contains(&digest), "{page}");
    assert!(page.contains("/trust/ca.crt") && page.contains("<svg"), "{page}");

    // By another name, without trust, with the trust of another kitchen: no.
    assert!(ask(&ours, "other.test", "/health").starts_with("refused Hostname mismatch"));
    assert!(ask(Path::new("-"), NAME, "/health").starts_with("refused "));
    let another = Site::start_with(other.path(), &["--name", NAME]);
    assert_ne!(fetch(&another, &theirs), Some(digest.clone()));
    assert!(ask(&theirs, NAME, "/health").starts_with("refused "));

    // The authority stays through a restart, and its key is for its owner alone.
    site.kill();
    let site = Site::start_with(folder.path(), &["--name", NAME]);
    assert_eq!(site.fingerprint.as_ref().map(|told| told.replace(' ', "")), Some(digest));
    let again = python(CLIENT, &[&port(&site), &ours.display().to_string(), NAME, "GET", "/health"]);
    assert!(again.is_some_and(|health| health.starts_with("TLSv1.3 200 ")));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let key =
            std::fs::metadata(folder.path().join("fulltray-ca.key")).expect("the key lies beside the record");
        assert_eq!(key.permissions().mode() & 0o777, 0o600);
    }
}
