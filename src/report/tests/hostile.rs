//! Whatever stands in the records, the drawings stay sound and the report comes out.

use super::sample::Recipe;
use crate::estimate::Random;
use crate::figure::{Figure, LeftOuts, Measure, Outturn};
use crate::place::Places;
use crate::report::number::Style;
use crate::report::{PullMark, chart, map, render};
use crate::season::PrintUnits;

fn style() -> Style {
    Style {
        units: PrintUnits::Metric,
        currency: "EUR".into(),
        language: crate::words::Language::English,
    }
}

/// A drawing is well-formed and holds no broken number.
fn sound(svg: &str) {
    for word in ["NaN", "inf\"", "-inf"] {
        assert!(!svg.contains(word), "{word} in {svg}");
    }
    let mut open = Vec::new();
    for tag in svg.split('<').skip(1) {
        let (tag, _) = tag.split_once('>').expect("every tag ends");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name), "in {svg}");
        } else if !tag.ends_with('/') {
            open.push(tag.split([' ', '>']).next().unwrap());
        }
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
    }
    assert!(open.is_empty(), "left open: {open:?}");
}

const NUMBERS: [f64; 12] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    1e-300,
    1e300,
    f64::MAX,
    f64::MIN,
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    37.5,
];

fn figure(random: &mut Random) -> Figure {
    let mut number = || NUMBERS[random.below(NUMBERS.len())];
    let outturn = Outturn::Estimated(crate::estimate::Estimate {
        value: number(),
        standard_error: Some(number()),
        degrees_of_freedom: None,
        interval: Some(crate::estimate::Interval {
            lower: number(),
            upper: number(),
            level: number(),
        }),
        caution: Vec::new(),
        method: String::new().into(),
        observations: 0,
        population: None,
    });
    Figure {
        name: "a.b".into(),
        label: "<&\"水".into(),
        kind: "<&\"水".into(),
        counts: None,
        measure: Measure::Mass,
        outturn,
        method: String::new().into(),
        assumptions: Vec::new(),
        places: Places::default(),
        left_out: LeftOuts::default(),
    }
}

#[test]
fn charts_are_sound_for_any_figure() {
    let mut random = Random::seeded(20_250_805);
    for _ in 0..400 {
        let figures: Vec<Figure> = (0..5).map(|_| figure(&mut random)).collect();
        let rows: Vec<_> = figures
            .iter()
            .map(|figure| chart::removal::Row {
                name: "A <b> & \"c\" 水",
                figure,
            })
            .collect();
        for drawing in chart::removal::draw(&rows, "What", &style()) {
            sound(&drawing.svg);
            assert!(drawing.svg.contains("A &lt;b&gt; &amp; &quot;c&quot; □"));
        }
        let cover = [chart::cover::Row {
            name: "A site",
            before: figures.first(),
            after: figures.get(1),
            change: figures.get(2),
            whole: false,
        }];
        for drawing in chart::cover::draw(&cover, &style()) {
            sound(&drawing.svg);
            assert!(drawing.svg.contains("A site"));
        }
        let years: Vec<_> = figures
            .iter()
            .enumerate()
            .map(|(index, figure)| chart::seasons::Year {
                year: 2020 + index as i32,
                figure,
                comparable: index % 2 == 0,
            })
            .collect();
        let trend: Vec<_> = years.iter().map(|year| (year.year, year.figure)).collect();
        let passes: Vec<_> = figures
            .iter()
            .map(|figure| chart::passes::Pass {
                number: "1",
                caught: figure,
                expected: Some(figure),
            })
            .collect();
        if let Some(drawing) = chart::passes::draw(&passes, "plants & more", &style()) {
            sound(&drawing.svg);
            assert!(drawing.svg.contains("plants &amp; more"));
        }
        if let Some(drawing) = chart::seasons::draw(&years, &trend, "What", &style()) {
            sound(&drawing.svg);
            let drawn = years
                .iter()
                .filter(|year| drawing.svg.contains(&year.year.to_string()));
            assert!(drawn.count() >= 2);
        }
        for target in NUMBERS {
            let deliverable = crate::figure::Deliverable {
                grant: "g".into(),
                id: "d".into(),
                text: "t".into(),
                figure: "a.b".into(),
                target,
                at_most: target > 0.0,
                standing: crate::figure::Standing::Met,
                place: crate::place::Place::whole("season.toml"),
            };
            if let Some(drawing) = figures
                .first()
                .and_then(|figure| chart::target::draw(&deliverable, figure, &style()))
            {
                sound(&drawing.svg);
            }
        }
    }
}

#[test]
fn the_outlook_is_sound_for_any_scenario() {
    for lower in NUMBERS {
        for upper in NUMBERS {
            let figures: Vec<Figure> = (0..3)
                .map(|_| Figure {
                    outturn: Outturn::Supposed(crate::figure::Supposed {
                        lower,
                        middle: Some(f64::midpoint(lower, upper)),
                        upper,
                        share: Some(0.9),
                        caution: Vec::new(),
                    }),
                    ..figure(&mut Random::seeded(1))
                })
                .collect();
            let course = |name, hue| chart::outlook::Course {
                name,
                years: figures
                    .iter()
                    .zip(2026..)
                    .map(|(figure, year)| (year, figure))
                    .collect(),
                hue,
            };
            let courses = [
                course("one", chart::outlook::Hue::Pale),
                course("two", chart::outlook::Hue::Deep),
            ];
            let drawing = chart::outlook::draw(&courses, &style()).unwrap();
            sound(&drawing.svg);
            for word in ["2026", "2028", "one", "two"] {
                assert!(drawing.svg.contains(word), "{word}");
            }
        }
    }
}

#[test]
fn charts_of_a_season_are_sound_and_hold_their_labels() {
    let sample = Recipe::new(5, 40).build();
    let pulls: Vec<_> = sample.season.pulls.iter().collect();
    let effort =
        chart::effort::draw(&sample.season, &pulls, Some("In all 3 h.".into()), &style()).unwrap();
    sound(&effort.svg);
    for word in [
        "paid people",
        "volunteers",
        "June",
        "seed ripe from 5\u{a0}August",
    ] {
        assert!(effort.svg.contains(word), "{word}");
    }
    assert!(effort.alt.contains("In all 3 h."));
    let ornament = chart::windrow::draw(&pulls, &style()).unwrap();
    sound(&ornament.svg);
    let map = map::draw(&sample.season.ground, &sample.marks, &[], &style()).unwrap();
    sound(&map.drawing.svg);
    for site in &sample.season.ground.sites {
        assert!(map.drawing.svg.contains(&site.name), "{}", site.name);
    }
    for station in &sample.season.ground.stations {
        assert!(map.drawing.svg.contains(&format!(">{}<", station.id)));
    }
}

#[test]
fn more_pulls_than_can_be_told_apart_share_the_strokes_of_the_ornament() {
    let ornament = |count: usize| {
        let sample = Recipe::new(2, count).build();
        let pulls: Vec<_> = sample.season.pulls.iter().collect();
        chart::windrow::draw(&pulls, &style()).unwrap()
    };
    let few = ornament(1200);
    assert!(few.svg.matches("<rect").count() > 1200, "a stroke each");
    assert!(few.alt.ends_with("each as high as its person-hours."));
    let many = ornament(3000);
    sound(&many.svg);
    assert!((1000..=2000).contains(&many.svg.matches("<rect").count()));
    assert!(many.alt.contains("3 to a stroke"), "{}", many.alt);
}

#[test]
fn many_sites_are_numbered_with_a_key() {
    let sample = Recipe::new(40, 60).build();
    let map = map::draw(&sample.season.ground, &sample.marks, &[], &style()).unwrap();
    assert_eq!(map.key.len(), 40);
    assert!(map.drawing.svg.contains(">40<"));
}

#[test]
fn a_map_is_sound_for_any_position() {
    let sample = Recipe::new(2, 4).build();
    for latitude in NUMBERS.into_iter().chain([89.9, -90.0]) {
        for longitude in NUMBERS.into_iter().chain([180.0, -180.0]) {
            let mark = PullMark {
                pull: "P1".into(),
                site: None,
                latitude,
                longitude,
            };
            let marks = [mark];
            let with_sites = map::draw(
                &sample.season.ground,
                &marks,
                &line(longitude, latitude),
                &style(),
            )
            .unwrap();
            sound(&with_sites.drawing.svg);
            if let Some(alone) = map::draw(&Default::default(), &marks, &[], &style()) {
                sound(&alone.drawing.svg);
            }
        }
    }
}

/// A track through a point that may be none.
fn line(longitude: f64, latitude: f64) -> [Vec<(f64, f64)>; 1] {
    [vec![
        (longitude, latitude),
        (0.0, 0.0),
        (latitude, longitude),
    ]]
}

#[test]
fn a_far_fix_is_left_off_the_map() {
    let sample = Recipe::new(2, 4).build();
    let mut marks = sample.marks.clone();
    marks.push(PullMark {
        pull: "P99".into(),
        site: None,
        latitude: 48.0,
        longitude: 2.0,
    });
    let map = map::draw(&sample.season.ground, &marks, &[], &style()).unwrap();
    assert_eq!(map.off_the_map, 1);
}

#[test]
fn names_in_any_script_and_with_any_mark_come_out() {
    let mut sample = Recipe::new(2, 4).build();
    sample.season.settings.programme = "#panic() *水* \u{202e}<&\"$`@x \\ 火".into();
    sample.season.settings.notice = Some("~ // /* [ ]".into());
    for site in sample.season.ground.sites.iter_mut() {
        site.name = "#x[水]$1$".repeat(9);
    }
    if let Err(error) = render(&sample.input(), None, &|_| ()) {
        panic!("{error}");
    }
}

#[test]
fn withheld_pictures_are_never_opened() {
    let sample = Recipe::new(3, 6).build();
    let pictures = crate::report::pictures::gather(&sample.season, &sample.plates, None, &|_| ());
    for (path, words) in [
        ("photos/s4.jpg", "did not agree"),
        ("photos/s5.jpg", "withheld: shows a private garden"),
    ] {
        match &pictures[path] {
            crate::report::pictures::Picture::Absent(reason) => {
                assert!(reason.to_string().contains(words), "{reason}");
            }
            shown => panic!("{path} is shown: {shown:?}"),
        }
    }
    assert!(matches!(
        pictures["photos/s0.jpg"],
        crate::report::pictures::Picture::Shown { .. }
    ));
}
