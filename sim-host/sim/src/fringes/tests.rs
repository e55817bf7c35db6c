//! What the bands show against the form they are of.

use super::*;

const DISC: Outline = Outline::Disc { diameter: 0.1 };

/// A sphere that is `count` bands of helium light out, its middle high.
fn sphere(outline: Outline, count: f64) -> Face {
    Face {
        side: Side::Upper,
        outline,
        sag: -count * 0.5 * HELIUM,
        slope: 0.0,
        roll: 0.0,
    }
}

/// Shade of each point of a picture, row by row, read back from what is drawn; `None` beside the part.
fn read(picture: &Picture) -> Vec<Vec<Option<u8>>> {
    let [columns, rows] = picture.size;
    let mut points = vec![vec![None; columns]; rows];
    for shade in &picture.shades {
        let mut at = [0, 0];
        for run in shade.rows.split(['M', 'm']).skip(1) {
            let (place, long) = run.split_once('h').expect("a run");
            let (across, down) = place.split_once(' ').expect("a place");
            // Rows are stroked along their middles.
            let down = down.strip_suffix(".5").unwrap_or(down);
            let [across, down, long] = [across, down, long].map(|n| n.parse::<i32>().expect("n"));
            at = [at[0] + across, at[1] + down];
            let [from, row, long] =
                [at[0], at[1], long].map(|n| usize::try_from(n).expect("in it"));
            at[0] += i32::try_from(long).expect("short");
            for point in &mut points[row][from..from + long] {
                assert!(point.is_none(), "nothing is shaded twice");
                *point = Some(shade.grey);
            }
        }
    }
    points
}

/// Dark stretches along points that lie in a line.
fn dark(line: impl Iterator<Item = u8>) -> usize {
    let mut count = 0;
    let mut was = false;
    for grey in line {
        let is = grey < 64;
        count += usize::from(is && !was);
        was = is;
    }
    count
}

/// Two-beam interference in a film of air: dark at contact and at each half wavelength, bright at each odd quarter.
#[test]
fn light_goes_with_the_gap() {
    for order in 0..5 {
        let gap = f64::from(order) * 0.5 * HELIUM;
        assert!(intensity(gap, HELIUM) < 1e-12);
        assert!((intensity(gap + 0.25 * HELIUM, HELIUM) - 1.0).abs() < 1e-12);
        assert!((intensity(gap + 0.125 * HELIUM, HELIUM) - 0.5).abs() < 1e-12);
    }
}

/// By hand: a sphere of sag s is dark in its middle, where the flat touches, and then at each whole s/(λ/2) on the way to its edge.
#[test]
fn a_sphere_shows_as_many_dark_rings_as_its_sag_has_bands() {
    for (count, rings) in [(0.3, 0), (1.3, 1), (2.4, 2), (5.5, 5), (9.4, 9)] {
        let face = sphere(DISC, count);
        assert!((bands(face.valley(), HELIUM) - count).abs() < 1e-9);
        let points = read(&Picture::new(&face, HELIUM, Laid::Touching));
        let middle = points.len() / 2;
        let radius = points[middle][middle..].iter().map_while(|point| *point);
        assert_eq!(dark(radius), 1 + rings, "{count} bands");
        // Hollow: the flat touches at the rim, and the middle is as far away as the edge was.
        let hollow = Face {
            sag: -face.sag,
            ..face
        };
        let points = read(&Picture::new(&hollow, HELIUM, Laid::Touching));
        let inwards = points[middle][middle..].iter().rev().filter_map(|p| *p);
        // Half a dark ring lies at the rim; of more than half a dozen bands it is narrower than a point of the picture.
        let rim = usize::from(count < 6.0);
        assert_eq!(dark(inwards), rim + rings, "{count} bands hollow");
    }
}

/// Under a tipped flat a flat face shows as many straight bands as the flat is lifted by; half a band of form bends them by half of
/// their distance.
#[test]
fn a_tipped_flat_shows_straight_bands_on_a_flat_face_and_bent_ones_on_another() {
    let points = read(&Picture::new(&sphere(DISC, 0.0), HELIUM, Laid::Tipped));
    let n = points.len();
    let down = |column: usize| {
        (0..n)
            .filter_map(|row| points[row][column])
            .collect::<Vec<u8>>()
    };
    // Dark where it touches as well.
    assert_eq!(dark(down(n / 2).into_iter()), 1 + WEDGE as usize);
    for row in &points {
        let shades: Vec<u8> = row.iter().filter_map(|point| *point).collect();
        let ends = shades.iter().min().zip(shades.iter().max());
        // What is half beside the part is seen a little nearer its edge.
        assert!(ends.is_none_or(|(a, b)| b - a < 60), "straight: {shades:?}");
    }
    let bent = read(&Picture::new(&sphere(DISC, 0.5), HELIUM, Laid::Tipped));
    // Where a band crosses the middle column, and where it leaves the part: of two bands in the middle half of the picture.
    let darkest = |column: usize, from: usize| {
        let near = from.saturating_sub(n / 10)..(from + n / 10).min(n);
        near.filter_map(|row| bent[row][column].map(|grey| (grey, row)))
            .min()
            .map(|(_, row)| row)
    };
    let middle = darkest(n / 2, n / 2).expect("a band");
    let aside = darkest(n / 2 + n * 2 / 5, middle).expect("a band");
    // (0.8 of the radius)² of half a band, in a distance of 1/5 of the height.
    let expected = 0.64 * 0.5 * n as f64 / WEDGE;
    let found = middle.abs_diff(aside) as f64;
    assert!(
        (found - expected).abs() < 0.03 * n as f64,
        "{found} for {expected}"
    );
}

/// What is drawn covers the part and nothing else.
#[test]
fn a_picture_has_the_outline_of_its_part() {
    // An L of three squares: three quarters of its box, whose centroid is not the box's middle.
    let corners = [
        [0.0, 0.0],
        [2.0, 0.0],
        [2.0, 1.0],
        [1.0, 1.0],
        [1.0, 2.0],
        [0.0, 2.0],
    ];
    let corners = corners.map(|at| at.map(|x: f64| 0.01 * x));
    let angle = Outline::Polygon(crate::model::Polygon::new(&corners).expect("simple"));
    let ring = Outline::Ring {
        outer: 0.1,
        inner: 0.04,
    };
    let plate = Outline::Rectangle {
        length: 0.08,
        width: 0.03,
    };
    for (outline, expected) in [
        (DISC, PI / 4.0),
        (ring, PI / 4.0 * (1.0 - 0.16)),
        (plate, 1.0),
        // Its middle is five sixths of a square from either edge: the picture reaches seven sixths to each side of it.
        (angle, 3.0 / (49.0 / 9.0)),
    ] {
        let picture = Picture::new(&sphere(outline, 1.0), HELIUM, Laid::Touching);
        let [columns, rows] = picture.size;
        let points = read(&picture);
        let shaded = points.iter().flatten().filter(|point| point.is_some());
        let share = shaded.count() as f64 / (columns * rows) as f64;
        assert!(
            (share / expected - 1.0).abs() < 0.03,
            "{outline:?}: {share}"
        );
        assert!((rows as f64 / columns as f64 - picture_ratio(outline)).abs() < 0.01);
    }
}

fn picture_ratio(outline: Outline) -> f64 {
    match outline {
        Outline::Rectangle { length, width } => width / length,
        Outline::Polygon(polygon) => polygon.reach()[1] / polygon.reach()[0],
        Outline::Disc { .. } | Outline::Ring { .. } => 1.0,
    }
}

/// A bore takes the middle of a sphere away, and corners of a plate lie where its circle is: by hand from s r²/a².
#[test]
fn the_outline_says_how_much_of_a_sphere_is_there() {
    let ring = Outline::Ring {
        outer: 0.1,
        inner: 0.05,
    };
    let count = |outline| bands(sphere(outline, 4.0).valley(), HELIUM);
    assert!((count(ring) - 3.0).abs() < 0.1, "{}", count(ring));
    let plate = Outline::Rectangle {
        length: 0.08,
        width: 0.03,
    };
    assert!((count(plate) - 4.0).abs() < 1e-9);
}

#[test]
fn bands_are_said_as_they_are_read() {
    for (count, words) in [
        (0.0, "no band of helium light to be seen"),
        (0.1, "no band of helium light to be seen"),
        (0.25, "about a quarter of a band of helium light, edge low"),
        (0.5, "about half a band of helium light, edge low"),
        (0.98, "about one band of helium light, edge low"),
        (1.5, "about one and a half bands of helium light, edge low"),
        (
            1.75,
            "about one and three quarters bands of helium light, edge low",
        ),
        (2.0, "about two bands of helium light, edge low"),
        (3.2, "about three bands of helium light, edge low"),
        (9.6, "about nine and a half bands of helium light, edge low"),
        (10.2, "about ten bands of helium light, edge low"),
        (33.7, "about 34 bands of helium light, edge low"),
    ] {
        assert_eq!(sphere(DISC, count).words(HELIUM), words);
    }
    let hollow = Face {
        sag: 2.0 * 0.5 * 546.1e-9,
        ..sphere(DISC, 0.0)
    };
    assert_eq!(
        hollow.words(546.1e-9),
        "about two bands of light of 546.1 nm, edge high"
    );
}

/// The lower face looks down: a bow that lifts the edges leaves its edge low, and the upper one's high. What is left of a taper, and
/// a dish, are seen in the thickness.
#[test]
fn sides_of_a_part_by_its_form() {
    let band = 0.5 * HELIUM;
    let form = FormOfPart {
        sags: [2.0 * band, 2.0 * band],
        taper: 0.0,
        roll: [0.0; 2],
    };
    let words = |form: &FormOfPart| SIDES.map(|side| Face::of(form, DISC, side).words(HELIUM));
    assert_eq!(
        words(&form),
        [
            "about two bands of helium light, edge low",
            "about two bands of helium light, edge high",
            "no band of helium light to be seen"
        ]
    );
    let wedge = FormOfPart {
        sags: [0.0; 2],
        taper: 3.0 * band,
        roll: [0.5 * band, 0.0],
    };
    assert_eq!(
        words(&wedge),
        [
            "about half a band of helium light, edge low",
            "no band of helium light to be seen",
            "about three and a half bands of helium light, a wedge"
        ]
    );
    let thin = FormOfPart {
        sags: [0.5 * band, -0.5 * band],
        taper: 0.0,
        roll: [0.0; 2],
    };
    assert_eq!(words(&thin)[2], "about one band of helium light, edge thin");
}

#[test]
fn the_worst_part_is_the_one_whose_face_is_out_most() {
    let (_, batch, _) = crate::demo::set("glass-f800");
    let form = |sag: f64| FormOfPart {
        sags: [0.0, sag],
        taper: 0.0,
        roll: [0.0; 2],
    };
    let forms = [form(1e-7), form(-3e-7), form(2e-7)];
    let found = worst(&batch, forms.into_iter().enumerate()).expect("one");
    assert_eq!(found.0, 1);
    assert_eq!(worst(&batch, std::iter::empty()), None);
}
