//! Just enough SVG: shapes with rounded numbers, escaped text, a plot frame, curves thinned to what a screen can show.
//!
//! Hand-written instead of a chart library because the ribbon and the section are pictures of their own; the curves come
//! along for free.

use std::fmt::Write as _;
use twinplate_sim::fringes::Picture;
use twinplate_sim::math::{abs, floor, log, max, min, pow};

/// Text as XML needs it.
#[must_use]
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // XML 1.0 has no other control characters.
            control if control.is_control() && !matches!(control, '\n' | '\t') => out.push(' '),
            plain => out.push(plain),
        }
    }
    out
}

/// Where a text is anchored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A drawing being made; units are CSS pixels at the natural size.
#[derive(Clone, Debug)]
pub struct Svg {
    width: f64,
    height: f64,
    label: String,
    /// What is read besides the label; may be empty.
    description: String,
    body: String,
}

impl Svg {
    /// An empty drawing; `label` is read to those who do not see it.
    #[must_use]
    pub fn new(width: f64, height: f64, label: &str) -> Self {
        Self {
            width,
            height,
            label: label.to_owned(),
            description: String::new(),
            body: String::new(),
        }
    }

    /// Says in words what the drawing shows, to those who do not see it.
    pub(crate) fn describe(&mut self, words: &str) {
        words.clone_into(&mut self.description);
    }

    /// A rectangle with a CSS class.
    pub(crate) fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, class: &str) {
        let _ = write!(
            self.body,
            r#"<rect x="{x:.1}" y="{y:.1}" width="{:.1}" height="{:.1}" class="{class}"/>"#,
            max(width, 0.0),
            max(height, 0.0)
        );
    }

    /// A rectangle with a fill of its own and words for a pointer that rests on it: a shade that stands for a number.
    pub fn shade(&mut self, at: [f64; 2], size: [f64; 2], grey: u8, words: &str) {
        let _ = write!(
            self.body,
            r##"<rect x="{:.1}" y="{:.1}" width="{:.1}" height="{:.1}" fill="#{grey:02x}{grey:02x}{grey:02x}"><title>{}</title></rect>"##,
            at[0],
            at[1],
            max(size[0], 0.0),
            max(size[1], 0.0),
            escape(words)
        );
    }

    /// A circle.
    pub fn circle(&mut self, x: f64, y: f64, radius: f64, class: &str) {
        let _ = write!(
            self.body,
            r#"<circle cx="{x:.1}" cy="{y:.1}" r="{radius:.1}" class="{class}"/>"#
        );
    }

    /// A band round a middle, with a colour of its own and words for a pointer that rests on it.
    pub(crate) fn band(
        &mut self,
        middle: [f64; 2],
        radius: f64,
        width: f64,
        colour: &str,
        words: &str,
    ) {
        let _ = write!(
            self.body,
            r#"<circle cx="{:.1}" cy="{:.1}" r="{radius:.1}" fill="none" stroke="{colour}" stroke-width="{width:.1}"><title>{}</title></circle>"#,
            middle[0],
            middle[1],
            escape(words)
        );
    }

    /// A shape from its path data, with a colour of its own and words for a pointer that rests on it. What is drawn within is left out.
    pub(crate) fn filled(&mut self, data: &str, colour: &str, class: &str, words: &str) {
        let _ = write!(
            self.body,
            r#"<path d="{data}" style="fill:{colour}" fill-rule="evenodd" class="{class}"><title>{}</title></path>"#,
            escape(words)
        );
    }

    /// Light bands, so many px a point, from their upper left corner on.
    pub(crate) fn shaded(&mut self, [x, y]: [f64; 2], scale: f64, picture: &Picture) {
        let _ = write!(
            self.body,
            r#"<g class="light" transform="translate({x:.1} {y:.1}) scale({scale:.4})">"#
        );
        for shade in &picture.shades {
            let grey = shade.grey;
            let _ = write!(
                self.body,
                r##"<path d="{}" stroke="#{grey:02x}{grey:02x}{grey:02x}"/>"##,
                shade.rows
            );
        }
        self.body.push_str("</g>");
    }

    /// A straight line.
    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], class: &str) {
        let _ = write!(
            self.body,
            r#"<line x1="{:.1}" y1="{:.1}" x2="{:.1}" y2="{:.1}" class="{class}"/>"#,
            from[0], from[1], to[0], to[1]
        );
    }

    /// A path from its data.
    pub fn path(&mut self, data: &str, class: &str) {
        if !data.is_empty() {
            let _ = write!(self.body, r#"<path d="{data}" class="{class}"/>"#);
        }
    }

    /// A text.
    pub fn text(&mut self, x: f64, y: f64, anchor: Anchor, class: &str, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let _ = write!(
            self.body,
            r#"<text x="{x:.1}" y="{y:.1}" text-anchor="{anchor}" class="{class}">{}</text>"#,
            escape(text)
        );
    }

    /// The drawing as an element for a page.
    #[must_use]
    pub fn finish(self) -> String {
        let description = if self.description.is_empty() {
            String::new()
        } else {
            format!("<desc>{}</desc>", escape(&self.description))
        };
        format!(
            r#"<svg viewBox="0 0 {:.0} {:.0}" role="img" aria-label="{}">{description}{}</svg>"#,
            self.width,
            self.height,
            escape(&self.label),
            self.body
        )
    }
}

/// A frame that maps data to the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// Left edge, px.
    pub left: f64,
    /// Top edge, px.
    pub top: f64,
    /// Width, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
    /// Data at left and right edge.
    pub x: [f64; 2],
    /// Data at bottom and top edge.
    pub y: [f64; 2],
}

impl Frame {
    /// Horizontal place of a value, px.
    #[must_use]
    pub(crate) fn px(&self, x: f64) -> f64 {
        self.left + self.width * (x - self.x[0]) / (self.x[1] - self.x[0])
    }

    /// Vertical place of a value, px, kept within the frame.
    #[must_use]
    pub fn py(&self, y: f64) -> f64 {
        let share = (y - self.y[0]) / (self.y[1] - self.y[0]);
        self.top + self.height * (1.0 - max(min(share, 1.0), 0.0))
    }

    /// Bottom edge, px.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        self.top + self.height
    }

    /// Right edge, px.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.left + self.width
    }

    /// Grid lines and numbers on the vertical axis, and its unit on top.
    pub(crate) fn axis_y(&self, svg: &mut Svg, unit: &str) {
        for value in ticks(self.y[0], self.y[1], 4) {
            let y = self.py(value);
            svg.line([self.left, y], [self.right(), y], "grid");
            svg.text(self.left - 6.0, y + 4.0, Anchor::End, "num", &number(value));
        }
        svg.text(self.left - 6.0, self.top - 10.0, Anchor::End, "unit", unit);
    }

    /// Numbers under the horizontal axis, and its unit at the end.
    pub(crate) fn axis_x(&self, svg: &mut Svg, unit: &str) {
        let y = self.bottom();
        svg.line([self.left, y], [self.right(), y], "axis");
        for value in ticks(self.x[0], self.x[1], 8) {
            let x = self.px(value);
            svg.line([x, y], [x, y + 4.0], "axis");
            svg.text(x, y + 16.0, Anchor::Middle, "num", &number(value));
        }
        svg.text(self.right() + 18.0, y + 16.0, Anchor::Start, "unit", unit);
    }

    /// Path of a curve; rows without a number break it. Thinned to two points a pixel.
    #[must_use]
    pub fn curve(&self, time: &[f64], values: &[f64]) -> String {
        let mut path = String::new();
        let mut drawing = false;
        let mut bucket: Option<(f64, f64, f64, f64)> = None;
        let mut flush = |bucket: &mut Option<(f64, f64, f64, f64)>, drawing: &mut bool| {
            if let Some((x, least, most, last)) = bucket.take() {
                let verb = if *drawing { 'L' } else { 'M' };
                *drawing = true;
                if abs(most - least) < 0.05 {
                    let _ = write!(path, "{verb}{x:.1} {last:.1}");
                } else {
                    let _ = write!(path, "{verb}{x:.1} {least:.1}V{most:.1}V{last:.1}");
                }
            }
        };
        for (time, value) in time.iter().zip(values) {
            if !value.is_finite() {
                flush(&mut bucket, &mut drawing);
                drawing = false;
                continue;
            }
            let (x, y) = (self.px(*time), self.py(*value));
            match &mut bucket {
                Some((at, least, most, last)) if x - *at < 0.5 => {
                    *least = min(*least, y);
                    *most = max(*most, y);
                    *last = y;
                }
                _ => {
                    flush(&mut bucket, &mut drawing);
                    bucket = Some((x, y, y, y));
                }
            }
        }
        flush(&mut bucket, &mut drawing);
        path
    }

    /// Closed path of the area under a curve, down to the frame's bottom.
    #[must_use]
    pub fn area(&self, time: &[f64], values: &[f64]) -> String {
        let mut path = String::new();
        let mut last_x = f64::NEG_INFINITY;
        let mut top = self.bottom();
        let mut open = false;
        for (time, value) in time.iter().zip(values) {
            if !value.is_finite() {
                continue;
            }
            let (x, y) = (self.px(*time), self.py(*value));
            if !open {
                let _ = write!(path, "M{x:.1} {:.1}", self.bottom());
                open = true;
            }
            top = min(top, y);
            if x - last_x >= 0.5 {
                let _ = write!(path, "L{x:.1} {top:.1}");
                last_x = x;
                top = self.bottom();
            }
        }
        if open {
            let _ = write!(path, "L{last_x:.1} {:.1}Z", self.bottom());
        }
        path
    }
}

/// A number on an axis: as short as it can be.
#[must_use]
pub fn number(value: f64) -> String {
    if abs(value) < 1e-12 {
        return "0".to_owned();
    }
    twinplate_check::finding::significant(value, 5)
}

/// Round numbers between two bounds, about `count` of them (steps of 1, 2 or 5 times a power of ten).
#[must_use]
pub fn ticks(low: f64, high: f64, count: u32) -> Vec<f64> {
    let span = high - low;
    if !span.is_finite() || span <= 0.0 {
        return Vec::new();
    }
    let raw = span / f64::from(count.max(1));
    let power = pow(10.0, floor(log(raw) / std::f64::consts::LN_10));
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= raw * 0.999)
        .unwrap_or(10.0 * power);
    let first = floor(low / step + 1.0 - 1e-9);
    let mut found = Vec::new();
    let mut index = first;
    while index * step <= high + step * 1e-9 && found.len() < 64 {
        found.push(index * step);
        index += 1.0;
    }
    found
}
