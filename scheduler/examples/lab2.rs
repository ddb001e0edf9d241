use scheduler::{mapping::*, milp::*, recipe::Recipes, timeline::Timeline, network::Count};
use std::cell::Cell;
fn main() {
    let s = scheduler::sample::fixed().check().unwrap();
    let r = Recipes::of(&s).unwrap();
    let tl = Timeline::new(&s.horizon, s.site.time_zone);
    let soda = network(&s, &r, &tl);
    let form = soda.formulate(&s, &tl);
    let args: Vec<String> = std::env::args().collect();
    let width: usize = args[1].parse().unwrap();
    let secs: f64 = args[2].parse().unwrap();
    let heur: f64 = args[3].parse().unwrap();
    let lp = solve(&form.program.relaxed(), Settings::default(), None, Watch::default()).unwrap();
    println!("LP {:.3} {:.2}s", lp.worth, lp.seconds);
    for kind in ["Boil","Fill","Gas","Tap","Wash","Return","Discard"] {
        let mut n = 0; let mut tot = 0.0; let mut cols = 0; let mut frac=0;
        for (id, k) in soda.net.tasks() { if k.count == Count::Whole && format!("{:?}", soda.work[soda.net.tasks().position(|(i,_)| i==id).unwrap()]).starts_with(kind) {
            for t in 0..soda.net.points() { if let Some(c) = form.starts(id,t) { cols+=1; let v = lp.values[c]; if v > 1e-6 { n += 1; tot += v; if (v - v.round()).abs() > 1e-6 { frac += 1; } } } } } }
        println!("{kind}: cols {cols} support {n} frac {frac} total {tot:.2}");
    }
    // restrict
    let mut p = form.program.clone();
    let mut free = 0;
    for (id, k) in soda.net.tasks() { if k.count != Count::Whole { continue }
        let cols: Vec<(usize,usize)> = (0..soda.net.points()).filter_map(|t| Some((t, form.starts(id,t)?))).collect();
        let nm = format!("{:?}", soda.work[soda.net.tasks().position(|(i,_)| i==id).unwrap()]);
        let width = if nm.starts_with("Tap") { 0 } else { width };
        if nm.starts_with("Return") || nm.starts_with("Discard") || (nm.starts_with("Tap") && std::env::var("FREETAP").is_ok()) { continue }
        let st: Vec<usize> = cols.iter().filter(|(_,c)| lp.values[*c] > 1e-6).map(|(t,_)| *t).collect();
        for (t,c) in cols { if !st.iter().any(|s| s.abs_diff(t) <= width) { p.columns[c].upper = 0.0; if let Some(x) = form.size(id,t) { p.columns[x].upper = 0.0; } } else { free += 1; } } }
    println!("free {free}");
    if let Some(f) = args.get(4) { scheduler::milp::export_mps(&p, std::path::Path::new(f)).unwrap(); return }
    let best = Cell::new(0.0);
    let w = Watch { progress: &|q: Progress| if let Some(b) = q.best { if b > best.get() + 1e-3 { best.set(b); println!("  {:.2}s best {b:.3} bound {:.3}", q.seconds, q.bound.unwrap()); } }, ..Watch::default() };
    match solve(&p, Settings { seconds: secs, gap: 1e-4, heuristics: heur }, None, w) {
      Ok(m) => println!("worth {:.3} bound {:.3} in {:.2} {:?}", m.worth, m.bound, m.seconds, m.stopped), Err(e) => println!("{e:?}") }
}
