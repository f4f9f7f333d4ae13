using System.Net;
using TestRig.Service;

namespace TestRig.Tests.Service;

[Collection(ServedRunsGroup.Name)]
public sealed class PageAssetsTests(ServedRuns served)
{
    [Fact]
    public async Task Style_and_script_are_named_by_what_is_in_them_and_kept_for_good()
    {
        foreach (var (address, type) in new[] { (PageAssets.Style, "text/css"), (PageAssets.PlotScript, "text/javascript") })
        {
            var answer = await served.Client.GetAsync(address);
            Assert.Equal(type, answer.Content.Headers.ContentType!.MediaType);
            Assert.Contains("immutable", answer.Headers.CacheControl!.ToString(), StringComparison.Ordinal);
            var digest = Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(await answer.Content.ReadAsByteArrayAsync()));
            Assert.Contains(digest[..16], address, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("/assets/page.css")]
    [InlineData("/assets/page.0123456789abcdef.css")]
    [InlineData("/assets/")]
    public async Task What_is_not_of_this_version_is_not_there(string path) => Assert.Equal(HttpStatusCode.NotFound, (await served.Client.GetAsync(path)).StatusCode);
}
