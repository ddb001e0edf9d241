//! Temperature as colour: from the blue of ice to the red of a boil, and what can be read on it.

/// Temperatures and their colours, in order: a deep blue at freezing, pale at room temperature,
/// amber and red where it scalds. Between them colours are mixed.
const SCALE: [(f64, [f64; 3]); 8] = [
    (0.0, [9.0, 58.0, 122.0]),
    (4.0, [24.0, 96.0, 164.0]),
    (10.0, [88.0, 160.0, 206.0]),
    (20.0, [178.0, 214.0, 206.0]),
    (40.0, [244.0, 218.0, 140.0]),
    (60.0, [240.0, 165.0, 72.0]),
    (80.0, [219.0, 104.0, 44.0]),
    (100.0, [172.0, 44.0, 30.0]),
];

/// The temperatures that a legend shows.
pub(super) const BANDS: [f64; 8] = [0.0, 4.0, 10.0, 20.0, 40.0, 60.0, 80.0, 100.0];

/// Above this water scalds, and its ribbon is hatched.
pub(super) const SCALDS_C: f64 = 60.0;

const LIGHT: [f64; 3] = [255.0, 255.0, 255.0];
const DARK: [f64; 3] = [0.0, 0.0, 0.0];

fn mixed(c: f64) -> [f64; 3] {
    let after = SCALE.iter().position(|(at, _)| *at >= c);
    let Some(n) = after else {
        return SCALE[SCALE.len() - 1].1;
    };
    let (high, to) = SCALE[n];
    let Some((low, from)) = n.checked_sub(1).map(|before| SCALE[before]) else {
        return to;
    };
    let part = (c - low) / (high - low);
    std::array::from_fn(|i| from[i] + (to[i] - from[i]) * part)
}

fn hex(rgb: [f64; 3]) -> String {
    let [r, g, b] = rgb.map(|part| part.round().clamp(0.0, 255.0) as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// The colour of a temperature.
pub(super) fn colour(c: f64) -> String {
    hex(mixed(c))
}

/// What can be read on that colour: light or dark.
pub(super) fn ink_on(c: f64) -> String {
    let ground = mixed(c);
    if contrast(ground, LIGHT) >= contrast(ground, DARK) {
        hex(LIGHT)
    } else {
        hex(DARK)
    }
}

/// Contrast as the Web Content Accessibility Guidelines 2.2 define it.
fn contrast(one: [f64; 3], other: [f64; 3]) -> f64 {
    let (a, b) = (luminance(one), luminance(other));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn luminance(rgb: [f64; 3]) -> f64 {
    let linear = rgb.map(|part| {
        let part = part / 255.0;
        if part <= 0.04045 {
            part / 12.92
        } else {
            ((part + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_run_from_ice_to_boil() {
        assert_eq!(colour(0.0), "#093a7a");
        assert_eq!(colour(-5.0), colour(0.0));
        assert_eq!(colour(100.0), colour(130.0));
        assert_eq!(colour(2.0), hex([16.5, 77.0, 143.0]));
    }

    #[test]
    fn what_is_written_on_a_colour_can_be_read() {
        for tenth in 0..=1000 {
            let ground = mixed(f64::from(tenth) / 10.0);
            let best = contrast(ground, LIGHT).max(contrast(ground, DARK));
            assert!(best >= 4.5, "{tenth}: {best}");
        }
        // Black on white is 21:1 by definition.
        assert!((contrast([0.0; 3], LIGHT) - 21.0).abs() < 1e-9);
    }
}
