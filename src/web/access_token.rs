use subtle::ConstantTimeEq;

use crate::error::{Error, Result};

/// A secret of 128 random bits that lets a browser in when the server listens beyond this machine.
#[derive(Clone)]
pub(super) struct AccessToken(String);

impl AccessToken {
    /// A new one, from the operating system.
    pub(super) fn random() -> Result<Self> {
        let mut bytes = [0_u8; 16];
        getrandom::fill(&mut bytes).map_err(|error| {
            Error::io("random bytes of the system", std::io::Error::other(error.to_string()))
        })?;
        Ok(Self(format!("{:032x}", u128::from_be_bytes(bytes))))
    }

    /// As it stands in the address.
    pub(super) fn text(&self) -> &str {
        &self.0
    }

    /// Whether this is it; how long that takes does not tell how much of it is right.
    pub(super) fn is(&self, text: &str) -> bool {
        self.0.as_bytes().ct_eq(text.as_bytes()).into()
    }
}

impl std::fmt::Debug for AccessToken {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("AccessToken")
    }
}
