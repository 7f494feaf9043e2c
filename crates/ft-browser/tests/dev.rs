use ft_browser::*;
use serde_json::json;
#[test]
fn dev() {
    let Some(driver) = Driver::start() else { return };
    let site = std::env::var("DEV_SITE").unwrap();
    let s = driver.session("marisol", Size::TABLET);
    let out = std::path::Path::new("/tmp/fix/shots");
    std::fs::create_dir_all(out).unwrap();
    s.go(&site);
    s.touch("#start");
    s.until_text("Stop the beater");
    let axe = npm("axe-core/axe.min.js").unwrap();
    for size in Size::ALL {
        s.resize(size);
        for (name, path) in [("tonight","/"),("step","/step"),("tray","/tray/shake%20freezer"),("machine","/machine/shake%20freezer"),("readings","/readings"),("record","/record"),("file","/file/shake%20freezer"),("sign-in","/sign-in"),("set-up","/set-up"),("trust","/trust")] {
            s.go(&format!("{site}{path}"));
            if name == "step" { s.until_text("Stop the beater"); }
            std::thread::sleep(std::time::Duration::from_millis(400));
            s.picture(&out.join(format!("{name}-{}.png", size.0)));
            let wide = s.eval("return document.documentElement.scrollWidth - document.documentElement.clientWidth");
            if wide != json!(0) { println!("{name} {}: overflows by {wide}", size.0); }
            s.eval(&axe);
            let v = s.eval("return axe.run(document, {runOnly: ['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']}).then(r => r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.target + ' ' + n.failureSummary).slice(0,3).join(' | ')))");
            if v != json!([]) { println!("{name} {}: {v:#}", size.0); }
            for c in s.console() { println!("{name}: {c}"); }
        }
    }
}
