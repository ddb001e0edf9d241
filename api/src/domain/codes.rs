//! Codes other systems know things by: GTIN for products, GRAI for kegs, UN/CEFACT for units.
//!
//! GTIN and GRAI carry a check digit (GS1 General Specifications, section 7.9): digits from the
//! right, weighted 3 and 1 in turn, are brought to a full ten.

use std::collections::BTreeSet;

use scheduler::check::Fault;
use scheduler::scenario::{KegTypeId, MaterialId, ProductId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Refusal;
use super::setup::SetupDocument;

/// The check digit of digits that lack it.
fn check_digit(digits: &[u8]) -> u32 {
    let weighted = digits.iter().rev().enumerate().map(|(n, digit)| {
        let weight = if n % 2 == 0 { 3 } else { 1 };
        u32::from(digit - b'0') * weight
    });
    (10 - weighted.sum::<u32>() % 10) % 10
}

/// Whether digits end with the right check digit.
fn checks(text: &str) -> Result<(), u32> {
    let (digits, last) = text.as_bytes().split_at(text.len() - 1);
    let right = check_digit(digits);
    if u32::from(last[0] - b'0') == right {
        Ok(())
    } else {
        Err(right)
    }
}

/// Why a text is not a code.
#[derive(Debug, thiserror::Error)]
pub(crate) enum BadCode {
    #[error("\"{0}\" is not a GTIN: 8, 12, 13 or 14 digits are allowed")]
    Gtin(String),
    #[error(
        "\"{0}\" is not a GRAI: 0, thirteen digits and a serial number of 1 to 16 letters and \
         digits are allowed"
    )]
    Grai(String),
    #[error("the check digit of \"{code}\" is wrong: it would be {right}")]
    CheckDigit { code: String, right: u32 },
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

/// A GTIN with a right check digit.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(try_from = "String", into = "String")]
#[schema(value_type = String, pattern = "^([0-9]{8}|[0-9]{12,14})$", example = "6291041500213")]
pub(crate) struct Gtin(String);

impl TryFrom<String> for Gtin {
    type Error = BadCode;
    fn try_from(text: String) -> Result<Self, BadCode> {
        let digits = text.bytes().all(|b| b.is_ascii_digit());
        if !digits || ![8, 12, 13, 14].contains(&text.len()) {
            return Err(BadCode::Gtin(short(&text)));
        }
        match checks(&text) {
            Ok(()) => Ok(Self(text)),
            Err(right) => Err(BadCode::CheckDigit { code: text, right }),
        }
    }
}

impl From<Gtin> for String {
    fn from(code: Gtin) -> Self {
        code.0
    }
}

/// The GRAI of one keg, with a right check digit before its serial number.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(try_from = "String", into = "String")]
#[schema(value_type = String, pattern = "^0[0-9]{13}[A-Za-z0-9]{1,16}$",
    example = "06291041500213A117")]
pub(crate) struct Grai(String);

impl TryFrom<String> for Grai {
    type Error = BadCode;
    fn try_from(text: String) -> Result<Self, BadCode> {
        let plain = text.bytes().all(|b| b.is_ascii_alphanumeric());
        let asset = text
            .get(1..14)
            .filter(|part| part.bytes().all(|b| b.is_ascii_digit()));
        let Some(asset) = asset.filter(|_| plain && text.starts_with('0')) else {
            return Err(BadCode::Grai(short(&text)));
        };
        if !(15..=30).contains(&text.len()) {
            return Err(BadCode::Grai(short(&text)));
        }
        match checks(asset) {
            Ok(()) => Ok(Self(text)),
            Err(right) => Err(BadCode::CheckDigit { code: text, right }),
        }
    }
}

impl Grai {
    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }
}

impl From<Grai> for String {
    fn from(code: Grai) -> Self {
        code.0
    }
}

/// A unit by its UN/CEFACT code (Recommendation 20).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) enum UnitCode {
    /// Kilogram.
    #[serde(rename = "KGM")]
    Kilogram,
    /// Gram.
    #[serde(rename = "GRM")]
    Gram,
    /// Litre.
    #[serde(rename = "LTR")]
    Litre,
    /// Millilitre.
    #[serde(rename = "MLT")]
    Millilitre,
    /// Piece.
    #[serde(rename = "H87")]
    Piece,
    /// One, where nothing else fits.
    #[serde(rename = "C62")]
    One,
}

/// A product and what other systems call it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ProductCode {
    /// The product.
    pub(crate) product: ProductId,
    /// Its GTIN.
    pub(crate) gtin: Gtin,
}

/// A keg with a serial number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct KegCode {
    /// The keg's type.
    pub(crate) keg_type: KegTypeId,
    /// Its GRAI.
    pub(crate) grai: Grai,
}

/// A material, what other systems call it, and the unit its amounts are in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct MaterialCode {
    /// The material.
    pub(crate) material: MaterialId,
    /// The unit its amounts are in.
    pub(crate) unit: UnitCode,
    /// Its GTIN.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) gtin: Option<Gtin>,
}

/// What other systems call a site's products, kegs and materials.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Codes {
    /// Products.
    #[serde(default)]
    #[schema(max_items = 1000)]
    pub(crate) products: Vec<ProductCode>,
    /// Kegs, one by one.
    #[serde(default)]
    #[schema(max_items = 10000)]
    pub(crate) kegs: Vec<KegCode>,
    /// Materials.
    #[serde(default)]
    #[schema(max_items = 1000)]
    pub(crate) materials: Vec<MaterialCode>,
}

impl Codes {
    /// Checks that each code names one thing, and one there is.
    pub(crate) fn check(&self, setup: &SetupDocument) -> Result<(), Refusal> {
        let mut faults = Vec::new();
        let mut wrong = |field: String, what: String| faults.push(Fault { field, what });
        let mut gtins = BTreeSet::new();
        for (n, code) in self.products.iter().enumerate() {
            if setup.setup.products.iter().all(|p| p.id != code.product) {
                let what = format!("there is no product \"{}\" in the setup", code.product);
                wrong(format!("products[{n}].product"), what);
            }
            if !gtins.insert(&code.gtin) {
                let what = "this GTIN stands for something else already".to_owned();
                wrong(format!("products[{n}].gtin"), what);
            }
        }
        let mut grais = BTreeSet::new();
        for (n, code) in self.kegs.iter().enumerate() {
            if setup.setup.keg_types.iter().all(|k| k.id != code.keg_type) {
                let what = format!("there is no keg type \"{}\" in the setup", code.keg_type);
                wrong(format!("kegs[{n}].keg_type"), what);
            }
            if !grais.insert(&code.grai) {
                let what = "this GRAI stands for another keg already".to_owned();
                wrong(format!("kegs[{n}].grai"), what);
            }
        }
        for (n, code) in self.materials.iter().enumerate() {
            if code.gtin.as_ref().is_some_and(|gtin| !gtins.insert(gtin)) {
                let what = "this GTIN stands for something else already".to_owned();
                wrong(format!("materials[{n}].gtin"), what);
            }
        }
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Refusal::Invalid(faults))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gtin(text: &str) -> Result<Gtin, BadCode> {
        Gtin::try_from(text.to_owned())
    }

    /// 6291041500213 is the worked example of GS1's page on check digits; 5901234123457 (EAN-13),
    /// 036000291452 (UPC-A) and 96385074 (EAN-8) are those of the usual descriptions of the bar
    /// codes. From memory.
    #[test]
    fn check_digits_are_those_of_published_examples() {
        for right in ["6291041500213", "5901234123457", "036000291452", "96385074"] {
            assert!(gtin(right).is_ok(), "{right}");
        }
        let wrong = gtin("6291041500218").unwrap_err().to_string();
        assert!(wrong.ends_with("it would be 3"), "{wrong}");
        for odd in [
            "",
            "629104150021",
            "62910415002133",
            "629104150021x",
            "６２９１０４１５",
        ] {
            assert!(gtin(odd).is_err(), "{odd}");
        }
    }

    #[test]
    fn every_single_wrong_digit_and_most_swaps_are_found() {
        let right = "6291041500213";
        for place in 0..right.len() {
            for digit in b'0'..=b'9' {
                let mut bytes = right.as_bytes().to_vec();
                let same = bytes[place] == digit;
                bytes[place] = digit;
                let text = String::from_utf8(bytes).unwrap();
                assert_eq!(gtin(&text).is_ok(), same, "{text}");
            }
        }
    }

    #[test]
    fn a_keg_has_a_serial_number_after_the_check_digit() {
        let grai = |text: &str| Grai::try_from(text.to_owned()).is_ok();
        assert!(grai("06291041500213A117"));
        assert!(!grai("06291041500213"), "no serial number");
        assert!(!grai("06291041500218A117"), "check digit");
        assert!(!grai("16291041500213A117"), "first digit");
        assert!(!grai("06291041500213A-117"), "a sign");
        assert!(
            !grai(&format!("06291041500213{}", "1".repeat(17))),
            "too long"
        );
    }
}
