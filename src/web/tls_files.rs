use std::path::PathBuf;
use std::sync::Arc;

use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

use crate::error::{Error, Result};

/// Certificate and key of a server whose connections are encrypted, as files in PEM form.
#[derive(Clone, Debug)]
pub struct TlsFiles {
    /// The certificate, and those behind it.
    pub certificate: PathBuf,
    /// Its private key.
    pub key: PathBuf,
}

impl TlsFiles {
    /// What takes encrypted connections with them.
    pub(super) fn acceptor(&self) -> Result<TlsAcceptor> {
        let unread = |file: &PathBuf, what: &str, error: String| {
            Error::malformed(what, error).in_file(file).with_context("the server's certificate")
        };
        let certificates = CertificateDer::pem_file_iter(&self.certificate)
            .and_then(Iterator::collect::<std::result::Result<Vec<_>, _>>)
            .map_err(|error| {
                unread(&self.certificate, "a certificate in PEM form", error.to_string())
            })?;
        let key = PrivateKeyDer::from_pem_file(&self.key)
            .map_err(|error| unread(&self.key, "a private key in PEM form", error.to_string()))?;
        let misfit = |error: tokio_rustls::rustls::Error| {
            unread(
                &self.certificate,
                "a certificate and the key that belongs to it",
                error.to_string(),
            )
        };
        let mut config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
            .with_safe_default_protocol_versions()
            .map_err(misfit)?
            .with_no_client_auth()
            .with_single_cert(certificates, key)
            .map_err(misfit)?;
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(TlsAcceptor::from(Arc::new(config)))
    }
}
