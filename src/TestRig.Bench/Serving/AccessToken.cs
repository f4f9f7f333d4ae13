using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace TestRig.Bench.Serving;

/// <summary>A token as the service knows it: never the secret, only its hash.</summary>
/// <param name="Name">By which people call it; unique among those of a service.</param>
/// <param name="Hash">SHA-256 of the secret. The secret is 256 random bits, so a slow hash for passwords would protect nothing more.</param>
/// <param name="Expires">From then on it is refused; null where it never expires.</param>
/// <param name="Revoked">When it was revoked; null where it was not.</param>
public sealed record AccessToken(string Name, AccessRights Rights, ReadOnlyMemory<byte> Hash, DateTimeOffset Created, DateTimeOffset? Expires, DateTimeOffset? Revoked)
{
    /// <summary>Shows what it is where somebody finds it: in a log, in a commit.</summary>
    private const string Prefix = "testrig-";

    private const int SecretBytes = 32;

    /// <summary>A new token and its secret, which nobody can find out again later.</summary>
    public static (AccessToken Token, string Secret) Create(string name, AccessRights rights, DateTimeOffset created, DateTimeOffset? expires)
    {
        var secret = Prefix + Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(SecretBytes));
        return (new(name, rights, HashOf(secret), created, expires, null), secret);
    }

    /// <summary>Of whatever somebody presented as a secret.</summary>
    public static byte[] HashOf(string secret) => SHA256.HashData(Encoding.UTF8.GetBytes(secret));

    /// <summary>In the same time whether the first byte differs or the last.</summary>
    public bool IsOf(ReadOnlySpan<byte> hash) => CryptographicOperations.FixedTimeEquals(Hash.Span, hash);

    /// <summary>Neither expired nor revoked then.</summary>
    public bool IsValid(DateTimeOffset now) => Revoked is null && !(Expires <= now);
}
