//! Fits, from readings that may say anything.

use model::calibration::{
    self, AirReading, ContentReading, CoolingLog, DoseReading, GasReading, GasUse, HeatingLog,
    IceReading, PurgeReading, TemperatureReading,
};
use model::headspace::Purging;
use model::heating::Heater;
use model::{
    AbsolutePressure, AirContent, Carbonation, Conductance, Factor, Fraction, GaugePressure,
    IceFactor, Load, Mass, MassFlow, MassTransfer, Power, Temperature, TimeSpan, Volume,
};
use proptest::collection::vec;
use proptest::prelude::{any, proptest};

use crate::{anywhere, check};

proptest! {
    #[test]
    fn temperatures(
        log in vec((anywhere!(TimeSpan), anywhere!(Temperature)), 0..6),
        liquid in anywhere!(Volume),
        steel in anywhere!(Mass),
        around in anywhere!(Temperature),
        start in anywhere!(Temperature),
        ua in anywhere!(Conductance),
        power in anywhere!(Power),
    ) {
        let readings: Vec<_> = log
            .into_iter()
            .map(|(time, temperature)| TemperatureReading { time, temperature })
            .collect();
        let load = Load { liquid, steel };
        let cooling = CoolingLog { load, surroundings: around, start };
        check("conductance", calibration::conductance(&cooling, &readings, ua));
        let heating = HeatingLog { load, room: around };
        let theory = Heater { power, efficiency: Fraction::of(0.8), loss: ua, room: around };
        check("heater", calibration::heater(&heating, &readings, &theory));
    }

    #[test]
    fn pairs(
        masses in vec((anywhere!(Mass), anywhere!(Mass)), 0..6),
        airs in vec((anywhere!(AirContent), anywhere!(AirContent)), 0..6),
        gauges in vec((anywhere!(GaugePressure), anywhere!(GaugePressure)), 0..6),
        degrees in vec((anywhere!(Temperature), anywhere!(Temperature)), 0..6),
        ice in anywhere!(IceFactor),
        factor in anywhere!(Factor),
    ) {
        let ices: Vec<_> =
            masses.iter().map(|&(theory, used)| IceReading { theory, used }).collect();
        check("ice", calibration::ice_factor(&ices, ice));
        let doses: Vec<_> =
            masses.iter().map(|&(theory, used)| DoseReading { theory, used }).collect();
        check("dose", calibration::dose_factor(&doses, factor));
        let airs: Vec<_> =
            airs.iter().map(|&(modelled, measured)| AirReading { modelled, measured }).collect();
        check("air", calibration::air_factor(&airs, factor));
        check("gauge", calibration::gauge_offset(&gauges));
        check("thermometer", calibration::thermometer_offset(&degrees));
    }

    #[test]
    fn gases(
        contents in vec((anywhere!(TimeSpan), anywhere!(Carbonation)), 0..6),
        start in anywhere!(Carbonation),
        full in anywhere!(Carbonation),
        kla in anywhere!(MassTransfer),
        purges in vec((anywhere!(GaugePressure), any::<u32>(), anywhere!(Fraction)), 0..6),
        atmosphere in anywhere!(AbsolutePressure),
        used in vec((any::<u32>(), anywhere!(Volume), anywhere!(TimeSpan), anywhere!(Mass)), 0..6),
        mass in anywhere!(Mass),
        leak in anywhere!(MassFlow),
    ) {
        let contents: Vec<_> =
            contents.iter().map(|&(time, content)| ContentReading { time, content }).collect();
        check("kLa", calibration::mass_transfer(&contents, start, full, kla));
        let purges: Vec<_> = purges
            .iter()
            .map(|&(gauge, count, air_left)| PurgeReading {
                purging: Purging::prompt(count, gauge),
                air_left,
            })
            .collect();
        check("purges", calibration::purges(&purges, atmosphere, Fraction::ALL));
        let used: Vec<_> = used
            .iter()
            .map(|&(kegs, poured, time, used)| GasReading { kegs, poured, time, used })
            .collect();
        let theory = GasUse { per_keg: mass, per_litre: mass, leak };
        check("gas", calibration::gas_use(&used, &theory));
    }
}
