using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>A service that other computers reach: encrypted, or because somebody said that it need not be.</summary>
public sealed class EncryptedServiceTests : IDisposable
{
    private readonly string _folder = TestFolders.Create().FullName;

    private readonly List<X509Certificate2> _chain = [];

    [Fact]
    public async Task Over_the_network_everything_is_encrypted_and_cookies_are_sent_no_other_way()
    {
        WriteCertificate();
        using var service = ServiceRun.Start(top: $"listen: https://0.0.0.0:0\ntls: {{ certificate: {_folder}/chain.pem, key: {_folder}/key.pem }}");
        var address = new Uri($"https://127.0.0.1:{service.Address.Port}");
        var secret = service.CreateToken("anna", "read");
        // The certificate is checked, up to an authority of which nobody has more than the root.
        using var person = new Visitor(address, authority: _chain[2]);
        using var page = await person.Client.GetAsync("/sign-in");
        using var entered = await person.SignInAsync(secret);
        Assert.Equal(HttpStatusCode.Found, entered.StatusCode);
        var cookies = page.Headers.GetValues("Set-Cookie").Concat(entered.Headers.GetValues("Set-Cookie")).ToList();
        Assert.Equal(2, cookies.Count);
        Assert.All(cookies, cookie => Assert.Contains("; secure", cookie, StringComparison.OrdinalIgnoreCase));
        // By whatever name others reach it.
        using (var named = new HttpRequestMessage(HttpMethod.Get, "/"))
        {
            named.Headers.Host = "bench.example";
            using var answer = await person.Client.SendAsync(named);
            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        }
        // Not encrypted, nothing is answered.
        var plain = await person.SayAsync("GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n");
        Assert.DoesNotContain("good", plain, StringComparison.Ordinal);
        // Whoever trusts another authority is not told anything either.
        using var wary = new Visitor(address);
        var untrusted = await Assert.ThrowsAsync<HttpRequestException>(() => wary.Client.GetAsync("/health/live"));
        Assert.Equal(HttpRequestError.SecureConnectionError, untrusted.HttpRequestError);
    }

    [Fact]
    public void Unencrypted_beyond_this_computer_it_does_not_begin_unless_somebody_says_so()
    {
        using var refused = ServeWith("listen: http://0.0.0.0:0");
        Assert.Equal(2, refused.ExitCode);
        Assert.Contains("tokens would cross the network readable by all", refused.Error, StringComparison.Ordinal);
        Assert.Contains("'without-tls: true'", refused.Error, StringComparison.Ordinal);
        using var open = ServiceRun.Start(top: "listen: http://0.0.0.0:0\nwithout-tls: true");
        Assert.NotEqual(0, open.Address.Port);
    }

    [Theory]
    [InlineData("missing.pem", "key.pem")]
    [InlineData("chain.pem", "missing.pem")]
    [InlineData("chain.pem", "chain.pem")]
    [InlineData("chain.pem", "other.pem")]
    [InlineData("key.pem", "key.pem")]
    public void A_certificate_that_cannot_be_used_is_named_with_a_remedy(string certificate, string key)
    {
        WriteCertificate();
        using var refused = ServeWith($"listen: https://127.0.0.1:0\ntls: {{ certificate: {_folder}/{certificate}, key: {_folder}/{key} }}");
        Assert.Equal(2, refused.ExitCode);
        Assert.Contains($"The certificate {_folder}/{certificate} with the key {_folder}/{key} cannot be used", refused.Error, StringComparison.Ordinal);
        Assert.Contains("with 'tls' in the service's configuration", refused.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", refused.Error, StringComparison.Ordinal);
    }

    public void Dispose() => _chain.ForEach(certificate => certificate.Dispose());

    private ProgramRun ServeWith(string top)
    {
        var file = Path.Combine(_folder, "benches.yaml");
        File.WriteAllText(file, $"format: testrig-benches/1\n{top}\nbenches:\n{ServiceRun.Dome}\n");
        return ProgramRun.ToEnd("serve", file);
    }

    /// <summary>A certificate of an authority that is itself certified by another.</summary>
    private void WriteCertificate()
    {
        var (from, until) = (DateTimeOffset.UtcNow.AddDays(-1), DateTimeOffset.UtcNow.AddDays(30));
        using var rootKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        using var middleKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        using var ownKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        using var otherKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var rootRequest = Request("CN=Workshop root", rootKey, authority: true);
        var root = rootRequest.CreateSelfSigned(from, until);
        using var bareMiddle = Request("CN=Workshop", middleKey, authority: true).Create(root, from, until, [1]);
        using var middle = bareMiddle.CopyWithPrivateKey(middleKey);
        var ownRequest = Request("CN=bench.example", ownKey, authority: false);
        var names = new SubjectAlternativeNameBuilder();
        names.AddDnsName("bench.example");
        names.AddIpAddress(IPAddress.Loopback);
        ownRequest.CertificateExtensions.Add(names.Build());
        var own = ownRequest.Create(middle, from, until, [2]);
        _chain.AddRange([own, X509CertificateLoader.LoadCertificate(middle.RawData), root]);
        File.WriteAllText(Path.Combine(_folder, "chain.pem"), $"{own.ExportCertificatePem()}\n{middle.ExportCertificatePem()}\n");
        File.WriteAllText(Path.Combine(_folder, "key.pem"), ownKey.ExportPkcs8PrivateKeyPem());
        File.WriteAllText(Path.Combine(_folder, "other.pem"), otherKey.ExportPkcs8PrivateKeyPem());

        static CertificateRequest Request(string name, ECDsa key, bool authority)
        {
            var request = new CertificateRequest(name, key, HashAlgorithmName.SHA256);
            request.CertificateExtensions.Add(new X509BasicConstraintsExtension(authority, hasPathLengthConstraint: false, pathLengthConstraint: 0, critical: true));
            return request;
        }
    }
}
