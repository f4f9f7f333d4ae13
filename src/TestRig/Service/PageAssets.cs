using System.Collections.Frozen;
using System.Reflection;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Net.Http.Headers;

namespace TestRig.Service;

/// <summary>The style and the scripts of the pages. Each has its content's digest in its name: what has been fetched once is never asked for again, and a new version of the program is never shown with an old style.</summary>
internal static class PageAssets
{
    private const string Prefix = "/assets/";

    private static readonly FrozenDictionary<string, Asset> _assets = Read().ToFrozenDictionary(asset => asset.Name);

    /// <summary>The address of the style of all pages.</summary>
    public static string Style { get; } = AddressOf("page.css");

    /// <summary>The address of the script that moves and zooms waveforms.</summary>
    public static string PlotScript { get; } = AddressOf("plot.js");

    /// <summary>The address of a file of the folder Pages.</summary>
    public static string AddressOf(string file) => Prefix + _assets.Values.Single(asset => asset.File == file).Name;

    public static IEndpointConventionBuilder MapPageAssets(this IEndpointRouteBuilder routes) => routes.MapGet(Prefix + "{name}", Get).ExcludeFromDescription();

    private static IResult Get(string name, HttpResponse response)
    {
        if (!_assets.TryGetValue(name, out var asset))
            return Results.NotFound();
        response.Headers.CacheControl = "public, max-age=31536000, immutable";
        return Results.Bytes(asset.Content, asset.Type, entityTag: new EntityTagHeaderValue($"\"{asset.Digest}\""));
    }

    private static IEnumerable<Asset> Read()
    {
        const string folder = "TestRig.Pages.";
        var assembly = Assembly.GetExecutingAssembly();
        foreach (var resource in assembly.GetManifestResourceNames().Where(name => name.StartsWith(folder, StringComparison.Ordinal)))
        {
            using var stream = assembly.GetManifestResourceStream(resource)!;
            var content = new byte[stream.Length];
            stream.ReadExactly(content);
            var file = resource[folder.Length..];
            var digest = Convert.ToHexStringLower(SHA256.HashData(content))[..16];
            var extension = Path.GetExtension(file);
            yield return new(file, $"{Path.GetFileNameWithoutExtension(file)}.{digest}{extension}", digest, extension == ".css" ? "text/css; charset=utf-8" : "text/javascript; charset=utf-8", content);
        }
    }

    private sealed record Asset(string File, string Name, string Digest, string Type, byte[] Content);
}
