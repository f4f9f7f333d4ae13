using Microsoft.Playwright;

namespace TestRig.Tests.Pages;

/// <summary>Debian's Chromium, without a window; one for all tests of pages.</summary>
public sealed class Browser : IAsyncLifetime
{
    private IPlaywright? _playwright;
    private IBrowser? _browser;

    public async Task InitializeAsync()
    {
        _playwright = await Playwright.CreateAsync();
        // Root may not sandbox, and build machines run as root.
        _browser = await _playwright.Chromium.LaunchAsync(new() { ExecutablePath = "/usr/bin/chromium", Args = Environment.UserName == "root" ? ["--no-sandbox"] : [] });
    }

    public async Task DisposeAsync()
    {
        if (_browser is not null)
            await _browser.DisposeAsync();
        _playwright?.Dispose();
    }

    /// <summary>A page in a window of its own, which nothing else has left anything in.</summary>
    /// <param name="scripts">False as for those who let no scripts run.</param>
    public async Task<IPage> OpenAsync(string address, int width, ColorScheme scheme, bool scripts = true)
    {
        var context = await _browser!.NewContextAsync(new() { ViewportSize = new() { Width = width, Height = 800 }, ColorScheme = scheme, JavaScriptEnabled = scripts });
        var page = await context.NewPageAsync();
        await page.GotoAsync(address);
        return page;
    }
}
