using TestRig.Bench.Plotting;

namespace TestRig.Bench.Tests.Plotting;

public class PlotFontTests
{
    [Fact]
    public void Without_any_font_the_error_says_what_to_install()
    {
        var error = Assert.Throws<PlotFontException>(() => PlotFont.Choose([], _ => true));
        Assert.Contains("fonts-dejavu-core", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_font_that_cannot_draw_the_labels_is_as_good_as_none()
    {
        Assert.Throws<PlotFontException>(() => PlotFont.Choose(["Some Serif", "DejaVu Sans"], _ => false));
    }

    [Fact]
    public void A_common_family_is_preferred()
    {
        Assert.Equal("Liberation Sans", PlotFont.Choose(["Aardvark Sans", "Liberation Sans"], _ => true));
    }

    [Fact]
    public void An_unknown_sans_serif_serves_when_no_common_one_is_there()
    {
        Assert.Equal("Some Grotesque", PlotFont.Choose(["Some Antiqua", "Some Grotesque"], family => family == "Some Grotesque"));
    }
}
