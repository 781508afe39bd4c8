//! One output line of a GPIO chip, by the kernel's character device (v2 of its interface).

use super::settings::RelaySettings;
use std::io;

/// A line that can be switched.
pub(super) trait Line: Send {
    /// On or off; active low is the settings' business.
    fn set(&mut self, on: bool) -> io::Result<()>;
}

/// Asks for the line and gives it its first value.
#[cfg(all(feature = "gpio", target_os = "linux"))]
pub(super) fn open(settings: &RelaySettings, on: bool) -> io::Result<Box<dyn Line>> {
    use gpiocdev::Request;
    use gpiocdev::line::Value;

    struct Requested(Request, u32);

    impl Line for Requested {
        fn set(&mut self, on: bool) -> io::Result<()> {
            let value = if on { Value::Active } else { Value::Inactive };
            self.0.set_value(self.1, value).map(drop).map_err(io::Error::other)
        }
    }

    let mut request = Request::builder();
    request.on_chip(&settings.chip).with_consumer("underbrush-agent").with_line(settings.line);
    if settings.active_low {
        request.as_active_low();
    }
    request.as_output(if on { Value::Active } else { Value::Inactive });
    let request = request.request().map_err(io::Error::other)?;
    Ok(Box::new(Requested(request, settings.line)))
}

/// `Config::read` refuses the settings; this is for settings made in code.
#[cfg(not(all(feature = "gpio", target_os = "linux")))]
pub(super) fn open(_: &RelaySettings, _: bool) -> io::Result<Box<dyn Line>> {
    Err(io::Error::new(io::ErrorKind::Unsupported, "this agent was built without GPIO lines"))
}
