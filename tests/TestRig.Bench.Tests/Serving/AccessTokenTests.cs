using System.Text.RegularExpressions;
using TestRig.Bench.Serving;

namespace TestRig.Bench.Tests.Serving;

public partial class AccessTokenTests
{
    private static readonly DateTimeOffset _made = new(2026, 3, 1, 12, 0, 0, TimeSpan.FromHours(1));

    /// <summary>Of "abc" and of the empty message: examples that NIST publishes for FIPS 180-4.</summary>
    [Theory]
    [InlineData("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")]
    [InlineData("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855")]
    public void A_secret_is_known_by_its_SHA_256(string secret, string hash) => Assert.Equal(hash, Convert.ToHexStringLower(AccessToken.HashOf(secret)));

    [Fact]
    public void No_two_secrets_are_equal_and_each_has_256_bits()
    {
        var secrets = Enumerable.Range(0, 1000).Select(_ => AccessToken.Create("a", AccessRights.Read, _made, null).Secret).ToList();
        Assert.Equal(secrets.Count, secrets.Distinct().Count());
        // 43 characters of six bits, of which the last two bits are padding (RFC 4648, section 5).
        Assert.All(secrets, secret => Assert.Matches(Form(), secret));
        // No place of it is always the same letter: none of the bytes is left out.
        for (var place = 0; place < 43; place++)
            Assert.True(secrets.Select(secret => secret["testrig-".Length + place]).Distinct().Count() > 10, $"place {place} hardly changes");
    }

    [Fact]
    public void A_token_is_of_its_own_secret_only_and_does_not_hold_it()
    {
        var (token, secret) = AccessToken.Create("anna", AccessRights.Read | AccessRights.Drive, _made, null);
        var (_, other) = AccessToken.Create("anna", AccessRights.Read | AccessRights.Drive, _made, null);
        Assert.True(token.IsOf(AccessToken.HashOf(secret)));
        Assert.False(token.IsOf(AccessToken.HashOf(other)));
        Assert.False(token.IsOf(AccessToken.HashOf(secret).AsSpan(0, 31)));
        Assert.False(token.IsOf([]));
        Assert.DoesNotContain(secret, token.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void It_is_valid_until_it_expires_and_not_in_that_instant()
    {
        var expires = _made.AddDays(1);
        var (token, _) = AccessToken.Create("anna", AccessRights.Read, _made, expires);
        Assert.True(token.IsValid(_made));
        Assert.True(token.IsValid(expires.AddTicks(-1)));
        Assert.False(token.IsValid(expires));
        Assert.False(token.IsValid(expires.AddYears(1)));
        // Of whatever zone the clock that is asked.
        Assert.False(token.IsValid(expires.ToOffset(TimeSpan.FromHours(-8))));
    }

    [Fact]
    public void One_that_never_expires_is_valid_until_it_is_revoked()
    {
        var (token, _) = AccessToken.Create("anna", AccessRights.Read, _made, null);
        Assert.True(token.IsValid(DateTimeOffset.MaxValue));
        var revoked = token with { Revoked = _made.AddDays(1) };
        Assert.False(revoked.IsValid(_made.AddDays(1)));
        // A clock that was set back makes it no better.
        Assert.False(revoked.IsValid(_made));
    }

    [GeneratedRegex("^testrig-[A-Za-z0-9_-]{43}$")]
    private static partial Regex Form();
}
