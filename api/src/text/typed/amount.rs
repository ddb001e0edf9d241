//! An amount as it is typed: `40`, `40 L`, `10 gal`, `36 psi`, `38 °F`, `85 %`.

use model::units::{Unit, convert};

/// Units by what people write, each once for what it measures.
const WORDS: [(&str, Unit); 50] = [
    ("l", Unit::L),
    ("litre", Unit::L),
    ("litres", Unit::L),
    ("liter", Unit::L),
    ("liters", Unit::L),
    ("ml", Unit::Ml),
    ("gal", Unit::UsGal),
    ("gallon", Unit::UsGal),
    ("gallons", Unit::UsGal),
    ("fl oz", Unit::UsFlOz),
    ("kg", Unit::Kg),
    ("kilo", Unit::Kg),
    ("kilos", Unit::Kg),
    ("g", Unit::G),
    ("lb", Unit::Lb),
    ("lbs", Unit::Lb),
    ("pound", Unit::Lb),
    ("pounds", Unit::Lb),
    ("oz", Unit::Oz),
    ("ounce", Unit::Oz),
    ("ounces", Unit::Oz),
    ("°c", Unit::C),
    ("c", Unit::C),
    ("°f", Unit::F),
    ("f", Unit::F),
    ("bar", Unit::Bar),
    ("psi", Unit::Psi),
    ("kpa", Unit::Kpa),
    ("m", Unit::M),
    ("metres", Unit::M),
    ("meters", Unit::M),
    ("ft", Unit::Ft),
    ("feet", Unit::Ft),
    ("foot", Unit::Ft),
    ("w", Unit::W),
    ("watt", Unit::W),
    ("watts", Unit::W),
    ("min", Unit::Min),
    ("minutes", Unit::Min),
    ("h", Unit::H),
    ("hours", Unit::H),
    ("%", Unit::Percent),
    ("percent", Unit::Percent),
    ("per cent", Unit::Percent),
    ("g/l", Unit::GPerL),
    ("vol", Unit::Volumes),
    ("vols", Unit::Volumes),
    ("volume", Unit::Volumes),
    ("volumes", Unit::Volumes),
    ("volumes of co2", Unit::Volumes),
];

/// Watts in a kilowatt: the only unit people write with its thousand.
const KILOWATT: [&str; 3] = ["kw", "kilowatt", "kilowatts"];

/// An amount in `to`; a bare number is in `usual`, which may differ.
///
/// # Errors
/// What was found and what is allowed.
pub(crate) fn amount(text: &str, usual: Unit, to: Unit) -> Result<f64, String> {
    let (number, unit) = parts(text)?;
    let (number, from) = if KILOWATT.contains(&unit.as_str()) {
        (number * 1000.0, Unit::W)
    } else if unit.is_empty() {
        (number, usual)
    } else {
        // Ounces of a drink are a volume.
        let unit = match (unit.as_str(), to.kind()) {
            ("oz" | "ounce" | "ounces", kind) if kind == Unit::L.kind() => "fl oz",
            (other, _) => other,
        };
        let known = WORDS.iter().find(|(word, _)| *word == unit);
        let known = known.ok_or_else(|| unknown(text, to))?;
        (number, known.1)
    };
    if from.kind() != to.kind() {
        return Err(unknown(text, to));
    }
    let found = convert(number, from, to).map_err(|error| error.to_string())?;
    // What a conversion adds in the last digits is nobody's.
    Ok((found * 1e6).round() / 1e6)
}

/// A whole number.
///
/// # Errors
/// What was found and what is allowed.
pub(crate) fn whole(text: &str) -> Result<u64, String> {
    let wrong = || format!("{text} found; a whole number is allowed");
    text.trim().parse().map_err(|_| wrong())
}

fn unknown(text: &str, to: Unit) -> String {
    let words = WORDS.iter().filter(|(_, unit)| unit.kind() == to.kind());
    let mut symbols: Vec<&str> = words.map(|(_, unit)| unit.symbol()).collect();
    symbols.dedup();
    if to.kind() == Unit::W.kind() {
        symbols.push("kW");
    }
    format!(
        "{} found; a number with or without {} is allowed",
        text.trim(),
        symbols.join(", ")
    )
}

/// The number, and the unit behind it in small letters.
fn parts(text: &str) -> Result<(f64, String), String> {
    let text = text.trim();
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '−');
    let end = text.find(|c: char| !digits(c)).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number = number.replace('−', "-");
    if let Some(either) = in_two_ways(&number) {
        return Err(either);
    }
    // A decimal comma is a number to those who write it.
    let parsed = number.replace(',', ".").parse::<f64>();
    let parsed = parsed.map_err(|_| format!("{text} found; a number is allowed"))?;
    let unit = unit.split_whitespace().collect::<Vec<_>>().join(" ");
    Ok((parsed, unit.to_lowercase()))
}

/// A comma that may stand between thousands as well as before a part, as in `1,234`.
fn in_two_ways(number: &str) -> Option<String> {
    let (whole, part) = number.split_once(',')?;
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let thousands = (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    (thousands && part.len() == 3 && digits(whole) && digits(part)).then(|| {
        format!("{number} found, which is read in two ways; write {whole}{part}, or {whole}.{part}")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, to: Unit, expected: f64) {
        let found = amount(text, to, to).unwrap();
        assert!((found - expected).abs() < 1e-3, "{text}: {found}");
    }

    /// NIST SP 811, appendix B.
    #[test]
    fn amounts_are_read_in_what_people_measure() {
        check("40", Unit::L, 40.0);
        check("12,5 l", Unit::L, 12.5);
        check("10 gal", Unit::L, 37.854);
        check("12 oz", Unit::L, 0.3549);
        check("44 lb", Unit::Kg, 19.958);
        check("16 oz", Unit::Kg, 0.4536);
        check("36 psi", Unit::Bar, 2.482);
        check("250 kPa", Unit::Bar, 2.5);
        check("38°F", Unit::C, 3.3333);
        check("−3 °C", Unit::C, -3.0);
        check("85 %", Unit::PerOne, 0.85);
        check("3 kW", Unit::W, 3000.0);
        check("2100 ft", Unit::M, 640.08);
        check("3.7 vol", Unit::GPerL, 7.3142);
        check("3,7 Volumes", Unit::GPerL, 7.3142);
        check("7.4 g/L", Unit::GPerL, 7.4);
        let usual = amount("36", Unit::Psi, Unit::Bar).unwrap();
        assert!((usual - 2.482).abs() < 1e-3, "{usual}");
    }

    #[test]
    fn what_is_no_amount_says_what_is() {
        let said = |text: &str, to| amount(text, to, to).unwrap_err();
        assert_eq!(said("lots", Unit::L), "lots found; a number is allowed");
        assert!(said("3 kg", Unit::L).contains("L, mL, US gal"));
        assert!(said("3 stone", Unit::Kg).contains("kg, g, lb, oz"));
        assert!(said("1,234", Unit::Kg).contains("read in two ways"));
        assert!(whole("3.5").is_err());
    }
}
