use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::description::read_meter;
use crate::error::Result;
use crate::meter::{Certificate, Meter, Sheet};

use super::CertificateCard;

/// A meter as the logbook knows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeterCard {
    /// Its name at the place; the key everything else refers to.
    pub name: String,
    /// Serial number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// Its data sheet as a TOML text with one `[[meter]]`, as it was read.
    pub sheet: String,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

impl MeterCard {
    /// The meter as it is on a day: its sheet with the newest of its certificates that is not dated
    /// after that day, if there is one.
    ///
    /// # Errors
    /// When the sheet cannot be read; as [`Sheet::check`], with the meter named.
    pub fn meter_on(
        &self,
        certificates: &[CertificateCard],
        day: Date,
        mains_hz: f64,
    ) -> Result<Meter> {
        let named =
            |error: crate::error::Error| error.with_context(format!("data sheet of {}", self.name));
        let meter = read_meter(&self.sheet, mains_hz).map_err(named)?;
        let mut sheet = meter.sheet.unwrap_or_else(|| Sheet::ideal(meter.detector));
        let newest = certificates
            .iter()
            .filter(|card| card.meter == self.name && card.date <= day)
            .max_by_key(|card| card.date);
        if let Some(card) = newest
            && sheet.certificate.as_ref().is_none_or(|own| own.date <= card.date)
        {
            sheet.certificate = Some(Certificate {
                number: card.number.clone(),
                date: card.date,
                due: card.due,
                expanded_ratio: card.expanded_ratio,
                coverage_factor: card.coverage_factor,
            });
            sheet.check(mains_hz).map_err(named)?;
        }
        Ok(Meter::with_sheet(self.name.clone(), sheet))
    }
}
