//! Smaller versions of pictures: made once, taken over afterwards, and only ever from the picture that was looked at.

use super::support::{Item, Place, WAYS, assert_manifest_fits, copied, held, path, put, site};
use casewright::media::Form;
use casewright::model::site::{Page, Site, SmallerOf, Turn};
use casewright::publish::{Options, PublishError, publish};
use image::{Rgb, RgbImage};
use std::fs;
use std::path::Path;

/// A site with one picture and its version of 640 pixels.
fn pictured(original: &Path) -> Site<'static> {
    let copy = copied(original);
    let Page::Copied(of) = &copy else { unreachable!("just made") };
    let smaller = SmallerOf { of: (**of).clone(), form: Form::Jpeg, width: 640 };
    let mut site = site(&[]);
    site.pages.insert(path("media/eye.jpg"), (Turn::Hashed, copy));
    site.pages.insert(path("media/eye-640.jpg"), (Turn::Hashed, Page::Smaller(Box::new(smaller))));
    site
}

fn photograph(to: &Path, shade: u8) {
    let picture = RgbImage::from_fn(1600, 900, |x, y| Rgb([shade, (x / 7) as u8, (y / 5) as u8]));
    picture.save(to).expect("a JPEG");
}

fn bytes(place: &Place, name: &str) -> Vec<u8> {
    match &held(&place.target)[name] {
        Item::File(bytes) => bytes.clone(),
        other => panic!("{name} is {other:?}"),
    }
}

#[test]
fn a_smaller_version_is_made_once_and_again_when_it_is_damaged() {
    for way in WAYS {
        let place = Place::new();
        let original = place.target.with_file_name("eye.jpg");
        photograph(&original, 90);
        let first = put(&pictured(&original), &place.target, way);
        assert_eq!(first.written, 2);
        assert_manifest_fits(&held(&place.target), 0);
        let made = bytes(&place, "media/eye-640.jpg");
        let back = image::load_from_memory(&made).expect("a JPEG");
        assert_eq!((back.width(), back.height()), (640, 360));
        assert!(made.len() < bytes(&place, "media/eye.jpg").len());

        assert_eq!(put(&pictured(&original), &place.target, way).written, 0);
        let mut damaged = made.clone();
        damaged[100] ^= 1;
        fs::write(place.target.join("media/eye-640.jpg"), damaged).expect("written");
        assert_eq!(put(&pictured(&original), &place.target, way).written, 1);
        assert_eq!(bytes(&place, "media/eye-640.jpg"), made);
    }
}

#[test]
fn a_picture_that_changed_since_it_was_looked_at_stops_the_publication() {
    let place = Place::new();
    let original = place.target.with_file_name("eye.jpg");
    photograph(&original, 90);
    let mut site = pictured(&original);
    site.pages.remove(&path("media/eye.jpg"));
    photograph(&original, 20);
    let refused = publish(&site, &place.target, &Options::default());
    assert!(matches!(refused, Err(PublishError::Unsteady { .. })), "{refused:?}");
    assert!(!place.target.exists());
}

#[test]
fn what_cannot_be_decoded_is_shown_as_it_is() {
    let place = Place::new();
    let original = place.target.with_file_name("eye.jpg");
    fs::write(&original, [0xff, 0xd8, 0xff, 0xd9]).expect("written");
    put(&pictured(&original), &place.target, WAYS[0]);
    assert_eq!(bytes(&place, "media/eye-640.jpg"), [0xff, 0xd8, 0xff, 0xd9]);
}
