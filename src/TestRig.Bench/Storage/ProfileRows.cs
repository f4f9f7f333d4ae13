using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;

namespace TestRig.Bench.Storage;

/// <summary>Texts of profiles and part types: each once, by its SHA-256, however many runs use it.</summary>
internal static class ProfileRows
{
    /// <summary>Runs share texts: one that begins must not come to use a text that is being deleted with another run. Who adds or deletes a run calls this first, and others wait for the end of its transaction.</summary>
    public static Task<int> OneAtATimeAsync(StoreLink link) => link.ExecuteAsync("update store_schema set version = version");

    /// <summary>The hash by which the text is known from now on.</summary>
    public static async Task<string> AddTextAsync(StoreLink link, string content)
    {
        var sha256 = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(content)));
        await link.ExecuteAsync("insert into profile_text (sha256, content) values (@Sha256, @Content) on conflict do nothing", new { Sha256 = sha256, Content = content });
        return sha256;
    }

    public static async Task AddPartsAsync(StoreLink link, long run, ImmutableSortedDictionary<string, string> parts)
    {
        foreach (var (name, text) in parts)
        {
            await link.ExecuteAsync(
                "insert into run_part (run_key, name, sha256) values (@Run, @Name, @Sha256)", new { Run = run, Name = name, Sha256 = await AddTextAsync(link, text) });
        }
    }

    /// <summary>Forgets the texts that no run uses.</summary>
    public static Task SweepOutAsync(StoreLink link) => link.ExecuteAsync(
        """
        delete from profile_text
        where not exists (select 1 from run where run.profile_sha256 = profile_text.sha256)
        and not exists (select 1 from run_part where run_part.sha256 = profile_text.sha256)
        """);
}
