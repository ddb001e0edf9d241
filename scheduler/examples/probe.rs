use scheduler::{mapping::network, milp::*, recipe::Recipes, search::*, timeline::Timeline};
use std::time::Instant;
fn main() {
    let t0 = Instant::now();
    let s = match scheduler::sample::fixed().check() { Ok(s) => s, Err(e) => { println!("{e}"); return } };
    println!("check {:?}", t0.elapsed());
    let t0 = Instant::now();
    let r = Recipes::of(&s).unwrap();
    println!("recipes {:?}", t0.elapsed());
    for g in &r.gassings { println!("gas st{} p{} k{} {:.0}min reg {:.2} hold {:.2} co2 {:.3} push {:.3} att {:.1}", g.station, g.product, g.keg, g.minutes, g.regulator.bar(), g.hold.bar(), g.co2_kg, g.push_kg, g.attended_minutes); }
    for w in &r.water { println!("{w:?}"); }
    for b in &r.boils { println!("{b:?} full {:.0} min", b.heater_minutes(b.most_litres)); }
    for (k, x) in r.cools.iter().enumerate() { for (st, y) in x.iter().enumerate() { for (ro, c) in y.iter().enumerate() { if let Some(c) = c { println!("cool k{k} s{st} r{ro}: {:.1} h, watts {:.0} n {}", c.minutes/60.0, c.watts.first().copied().unwrap_or(0.0), c.watts.len()); } } } }
    let t0 = Instant::now();
    let tl = Timeline::new(&s.horizon, s.site.time_zone);
    let soda = network(&s, &r, &tl);
    soda.net.check().unwrap();
    let form = soda.formulate(&s, &tl);
    println!("formulate {:?} cols {} rows {} whole {}", t0.elapsed(), form.program.columns.len(), form.program.rows.len(), form.program.columns.iter().filter(|c| c.whole).count());
    let t0 = Instant::now();
    let lp = solve(&form.program.relaxed(), Settings::default(), None, Watch::default()).unwrap();
    println!("LP {:.3} in {:.2}s wall {:?}", lp.worth, lp.seconds, t0.elapsed());
    if std::env::args().nth(1).as_deref() == Some("full") {
        let t0 = Instant::now();
        let w = Watch { progress: &|p: Progress| println!("{p:?}"), ..Watch::default() };
        let m = solve(&form.program, Settings { seconds: 120.0, gap: 1e-4, ..Settings::default() }, None, w).unwrap();
        println!("FULL {:.3} bound {:.3} {:?}", m.worth, m.bound, t0.elapsed());
    }
    let t0 = Instant::now();
    let w = Watch { progress: &|p: Progress| println!("   {p:?}"), ..Watch::default() };
    let f = search(&soda.net, &form, Limits::default(), w).unwrap();
    println!("worth {:.3} bound {:.3} gap {:.5} {:?}", f.worth, f.bound, f.gap(), t0.elapsed());
    let mut short = 0.0;
    for (id, k) in soda.net.tasks() { for t in 0..soda.net.points() { if let Some(c) = form.starts(id, t) { if f.values[c] > 1e-6 {
        let size = form.size(id, t).map_or(0.0, |x| f.values[x]);
        if std::env::args().nth(1).as_deref() == Some("show") { println!("{} {} n={:.3} size={:.2}", tl.stamp(tl.at(t)).format("%a %H:%M"), k.name, f.values[c], size); }
        if let scheduler::mapping::Work::Serve { .. } = soda.work[soda.net.tasks().position(|(i, _)| i == id).unwrap()] { short -= size; }
    } } } }
    let want: f64 = s.demand.iter().map(|d| d.litres.litres()).sum();
    println!("wanted {want} short {}", want + short);
}
